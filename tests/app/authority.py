"""A time-stamp authority made on the spot with `openssl ts`, and SSH keys made with `ssh-keygen`: once a session."""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from pathlib import Path

CONFIG = """
[ tsa ]
default_tsa = own
[ own ]
serial = {folder}/serial
signer_cert = {folder}/{name}.pem
signer_key = {folder}/{name}.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha512
ess_cert_id_alg = sha256
"""


def run(*words: str, given: bytes = b"") -> bytes:
    return subprocess.run(words, input=given, capture_output=True, check=True, timeout=30).stdout


@dataclass(frozen=True)
class Authority:
    """An authority with a root of its own. `root`: the certificate to trust."""

    folder: Path
    name: str

    @property
    def root(self) -> Path:
        return self.folder / f"root-{self.name}.pem"

    def answer(self, query: Path, out: Path) -> Path:
        run("openssl", "ts", "-reply", "-config", str(self.folder / f"{self.name}.cnf"), "-section", "own",
            "-queryfile", str(query), "-out", str(out))
        return out


def make(folder: Path, name: str, *, expired: bool = False) -> Authority:
    """An authority: a root and a certificate for time stamps under it, which has expired or not."""
    (folder / "serial").write_text("01\n")
    (folder / f"{name}.cnf").write_text(CONFIG.format(folder=folder, name=name))
    ext = folder / f"{name}.ext"
    ext.write_text("extendedKeyUsage=critical,timeStamping\nkeyUsage=critical,digitalSignature\n")
    key = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes")
    run("openssl", "req", "-x509", *key, "-keyout", str(folder / f"root-{name}.key"), "-out",
        str(folder / f"root-{name}.pem"), "-days", "3650", "-subj", f"/CN={name} root",
        "-addext", "basicConstraints=critical,CA:TRUE", "-addext", "keyUsage=critical,keyCertSign")
    run("openssl", "req", *key, "-keyout", str(folder / f"{name}.key"), "-out", str(folder / f"{name}.csr"),
        "-subj", f"/CN={name}")
    days = ("-not_before", "20200101000000Z", "-not_after", "20210101000000Z") if expired else ("-days", "3650")
    signing = ("openssl", "x509", "-req", "-in", str(folder / f"{name}.csr"), "-CA", str(folder / f"root-{name}.pem"),
               "-CAkey", str(folder / f"root-{name}.key"), "-CAcreateserial", "-extfile", str(ext),
               "-out", str(folder / f"{name}.pem"))
    if not expired:
        run(*signing, *days)
    else:   # openssl x509 of before 3.4 takes no days of the past; a negative number of days does
        run(*signing, "-days", "-1")
    return Authority(folder, name)
