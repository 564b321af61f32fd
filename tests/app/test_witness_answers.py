"""Witnesses' answers, against the tools that make them: `openssl ts` (RFC 3161) and `ssh-keygen -Y` (OpenSSH)."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path
from shutil import which

import pytest

from gwlog.app import witness_answers as answers
from gwlog.errors import BadInput, NotVerified
from gwlog.journal.seal_number import SealNumber
from gwlog.views.this_number import line_of
from tests.app.authority import Authority, make, run

NUMBER = SealNumber(412, sha256(b"412").hexdigest())
OTHER = SealNumber(411, sha256(b"411").hexdigest())

needs_openssl = pytest.mark.skipif(which("openssl") is None, reason="openssl is not on this machine")
needs_ssh = pytest.mark.skipif(which("ssh-keygen") is None, reason="ssh-keygen is not on this machine")


@pytest.fixture(scope="session")
def north(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return make(tmp_path_factory.mktemp("authority"), "North Stamp")


@pytest.fixture
def stamped(north: Authority, tmp_path: Path) -> bytes:
    pytest.importorskip("rfc3161_client")
    (tmp_path / "n.tsq").write_bytes(answers.query(NUMBER))
    return north.answer(tmp_path / "n.tsq", tmp_path / "n.tsr").read_bytes()


def key_of(folder: Path, name: str) -> tuple[Path, str]:
    key = folder / name
    if not key.exists():
        run("ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", "", "-f", str(key))
    return key, key.with_suffix(".pub").read_text()


@pytest.fixture(scope="session")
def keys(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("keys")
    _, public = key_of(folder, "ruth")
    (folder / "signers").write_text(f"ruth@example.org {public}")
    key_of(folder, "mallory")
    return folder


def signed(keys: Path, name: str, message: bytes, namespace: str = answers.NAMESPACE) -> bytes:
    return run("ssh-keygen", "-q", "-Y", "sign", "-f", str(keys / name), "-n", namespace, given=message)


@needs_openssl
def test_our_query_is_what_openssl_makes_of_the_line(tmp_path: Path) -> None:
    pytest.importorskip("rfc3161_client")
    (tmp_path / "line").write_bytes(line_of(NUMBER).encode() + b"\n")
    (tmp_path / "ours").write_bytes(answers.query(NUMBER))
    run("openssl", "ts", "-query", "-sha256", "-cert", "-no_nonce", "-data", str(tmp_path / "line"), "-out",
        str(tmp_path / "theirs"))
    ours, theirs = (run("openssl", "ts", "-query", "-in", str(tmp_path / name), "-text") for name in ("ours", "theirs"))
    assert ours == theirs and b"Hash Algorithm: sha256" in ours and b"Certificate required: yes" in ours


@needs_openssl
def test_a_time_stamp_verifies_as_openssl_says(north: Authority, stamped: bytes, tmp_path: Path) -> None:
    assert b"Verification: OK" in run("openssl", "ts", "-verify", "-queryfile", str(tmp_path / "n.tsq"), "-in",
                                      str(tmp_path / "n.tsr"), "-CAfile", str(north.root))
    number, judged = answers.time_stamp(stamped, [OTHER, NUMBER], north.root.read_bytes())
    assert number == NUMBER and judged.trusted and judged.at is not None and judged.who == "North Stamp"


@needs_openssl
def test_what_is_wrong_with_a_time_stamp_is_told_apart(north: Authority, stamped: bytes, tmp_path: Path) -> None:
    with pytest.raises(NotVerified, match="for another digest"):
        answers.time_stamp(stamped, [OTHER], north.root.read_bytes())
    folder = tmp_path / "false"
    folder.mkdir()
    false = make(folder, "North Stamp")   # of the same name, with keys of its own
    with pytest.raises(NotVerified, match="does not verify with the certificate"):
        answers.time_stamp(stamped, [NUMBER], false.root.read_bytes())
    with pytest.raises(NotVerified, match="does not verify with the certificate"):
        answers.time_stamp(false.answer(tmp_path / "n.tsq", tmp_path / "f.tsr").read_bytes(), [NUMBER],
                           north.root.read_bytes())
    for cut in (1, 20, len(stamped) // 2, len(stamped) - 1):
        with pytest.raises(BadInput, match="cut off, damaged"):
            answers.time_stamp(stamped[:cut], [NUMBER], north.root.read_bytes())
    changed = bytearray(stamped)
    changed[-20] ^= 1
    with pytest.raises((NotVerified, BadInput)):
        answers.time_stamp(bytes(changed), [NUMBER], north.root.read_bytes())
    with pytest.raises(BadInput, match="no certificate"):
        answers.time_stamp(stamped, [NUMBER], b"-----BEGIN nothing")
    old = make(folder, "Old Stamp", expired=True)
    with pytest.raises(NotVerified, match="“Old Stamp” had expired"):
        answers.time_stamp(old.answer(tmp_path / "n.tsq", tmp_path / "o.tsr").read_bytes(), [NUMBER],
                           old.root.read_bytes())


@needs_ssh
def test_a_signature_verifies_whatever_ends_the_line(keys: Path) -> None:
    for message in answers.messages(NUMBER):
        number, judged = answers.signature(signed(keys, "ruth", message), [OTHER, NUMBER], keys / "signers")
        assert (number, judged) == (NUMBER, answers.Judged("SSH signature", "ruth@example.org"))
    number, judged = answers.signature(signed(keys, "mallory", answers.messages(NUMBER)[0]), [NUMBER], None)
    assert not judged.trusted and judged.who.startswith("SHA256:")


@needs_ssh
def test_what_is_wrong_with_a_signature_is_told_apart(keys: Path) -> None:
    line = answers.messages(NUMBER)[0]
    with pytest.raises(NotVerified, match=r"by an unknown key \(SHA256:"):
        answers.signature(signed(keys, "mallory", line), [NUMBER], keys / "signers")
    with pytest.raises(NotVerified, match="does not fit the line"):
        answers.signature(signed(keys, "ruth", line), [OTHER], keys / "signers")
    with pytest.raises(NotVerified, match="does not fit the line"):
        answers.signature(signed(keys, "ruth", line, "file"), [NUMBER], keys / "signers")
    for cut in (40, 150):
        with pytest.raises(BadInput, match="cut off or damaged"):
            answers.signature(signed(keys, "ruth", line)[:cut], [NUMBER], keys / "signers")


def test_without_the_tools_it_is_said_what_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answers, "which", lambda _: None)
    monkeypatch.setattr(answers, "find_spec", lambda _: None)
    with pytest.raises(answers.NotHere, match="ssh-keygen is not on this machine"):
        answers.signature(answers.ARMOR, [NUMBER], None)
    for asked in (lambda: answers.query(NUMBER), lambda: answers.time_stamp(b"0", [NUMBER], b"")):
        with pytest.raises(answers.NotHere, match="rfc3161-client is not installed"):
            asked()
