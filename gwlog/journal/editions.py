"""The programs that gwlog has put into packs, by their SHA-256 digests: what stands in a pack is one of them.

The present edition is not among them; it is the file itself. Whoever releases a changed check_seal.py adds the digest
of the one before, newest first: git show v0.1.0:gwlog/journal/check_seal.py | sha256sum
"""

EDITIONS = (
    "d2cf34e48446d98b2c0d8ec3ce8e43320976e4de1243c6071ee86eda56473d7f",
    "b6f6bd1f051787b3f2f1dced17714e2d1afe9dd0d10d96cc726dd92b05340ea7",
    "f214552c72b1dbf8539512ceafc9836ee17015bb1f3257cddca2fec8d6dafdc1",
    "aa2366c355a13ea38c55fd26e47fd6fac0573e2536498613c47879807ea19fa5",
    "2fd8511ec33ebd4cf9b188c5abb587b9287a8ae93bed08d66a5fe25648b56ed4",
    "22c586a1d759beaa4b6310dc068d2e3b218011b299c8096bfc78af22956060b5",
    "2063189ac08dc5c416149ec293be5076b199ae54e7d74cccc872fefeab6de12b",
    "260f839d957039461ef6bac9e50f3aa0e4cdda04eee5c54ea8980f69596f8ded",
    "f74af7cd90e4866ddbb9d11ec2a71597ab33f5e5a233c325239e7d8c9d99188d",
)
