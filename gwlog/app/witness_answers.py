"""A witness's answer verified: a statement, an SSH signature, an RFC 3161 time stamp over the line of a seal number.

SSH signatures are verified by `ssh-keygen -Y verify` (OpenSSH 8.1 or later), time stamps by the library rfc3161-client.
The clock of the machine is asked by neither: a time stamp says its own moment.
"""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from datetime import datetime
from importlib.util import find_spec
from pathlib import Path
from shutil import which
from typing import TYPE_CHECKING, Any

from gwlog import drafts
from gwlog.actions import Action, Hint
from gwlog.errors import BadInput, NotVerified
from gwlog.journal.seal_number import SealNumber
from gwlog.text import one_line
from gwlog.values import dataclass
from gwlog.views.this_number import line_of

if TYPE_CHECKING:
    from cryptography.x509 import Certificate

NAMESPACE = "gwlog-seal"
SSH_SIGNATURE, TIME_STAMP, STATEMENT = "SSH signature", "time stamp", "statement"
ARMOR = b"-----BEGIN SSH SIGNATURE-----"
NO_SSH = "ssh-keygen is not on this machine (it comes with OpenSSH)"
NO_LIBRARY = "the library rfc3161-client is not installed (pip install 'gwlog[witness]')"
SECONDS = 30
"""Longer no verification takes; a program that hangs is stopped."""


@dataclass(frozen=True, slots=True)
class Judged:
    """What an answer shows. `who`: the signer or the authority as the answer names it; `at`: a time stamp's moment.

    `trusted`: the key or the certificate is one that this machine was told to trust.
    """

    means: str
    who: str
    at: datetime | None = None
    trusted: bool = True


class NotHere(Exception):
    """What would verify an answer is not on this machine."""


def messages(number: SealNumber) -> tuple[bytes, ...]:
    """The line as files hold it: with a line feed, as another system ends lines, without an end."""
    line = line_of(number).encode()
    return line + b"\n", line + b"\r\n", line


def means_of(content: bytes) -> str:
    """What sort of answer a file is."""
    if content.lstrip().startswith(ARMOR):
        return SSH_SIGNATURE
    return TIME_STAMP if content[:1] == b"\x30" else STATEMENT


# --- SSH -----------------------------------------------------------------------------------------------------


def signature(content: bytes, numbers: Sequence[SealNumber], signers: Path | None) -> tuple[SealNumber, Judged]:
    """Which of the numbers an SSH signature signs, and who signed it.

    `signers`: a file of allowed signers, as ssh-keygen reads it; without one any key holds, and is told by its
    fingerprint. Raises NotVerified for an unknown key or another line, BadInput for a damaged file, NotHere.
    """
    if which("ssh-keygen") is None:
        raise NotHere(NO_SSH)
    with drafts.folder() as folder:
        file = folder / "answer.sig"
        file.write_bytes(content)
        principal = None
        if signers is not None:
            found = _ssh(["-Y", "find-principals", "-s", str(file), "-f", str(signers)], b"")
            principal = found.stdout.decode("utf-8", "replace").splitlines()[0] if found.returncode == 0 and \
                found.stdout.strip() else None
        fingerprint = None
        for number in numbers:
            for message in messages(number):
                checked = _ssh(["-Y", "check-novalidate", "-n", NAMESPACE, "-s", str(file)], message)
                if checked.returncode == 0:
                    said = checked.stdout.decode("utf-8", "replace").split(" key ")
                    fingerprint = one_line(said[-1])[:80]
                    if signers is None:
                        return number, Judged(SSH_SIGNATURE, fingerprint, trusted=False)
                    if principal is not None and _ssh(
                            ["-Y", "verify", "-n", NAMESPACE, "-s", str(file), "-f", str(signers), "-I", principal],
                            message).returncode == 0:
                        return number, Judged(SSH_SIGNATURE, one_line(principal))
                    raise NotVerified(f"The signature is by an unknown key ({fingerprint}): {signers} does not name "
                                      "it, or no longer.",
                                      hint="Ask the signer for the public key, compare its fingerprint by voice, and "
                                           "put a line “NAME KEY” into that file.")
        if b"END SSH SIGNATURE" not in content or b"invalid format" in checked.stderr or b"parse" in checked.stderr:
            raise BadInput("The file is no whole SSH signature; it is cut off or damaged. Nothing was stored.")
    raise NotVerified(f"The signature does not fit the line “{line_of(numbers[0])[:40]}…”, or was not made with "
                      f"“-n {NAMESPACE}”.", hint=Hint("Have the very line signed: ", Action("witness", line="FILE")))


def _ssh(words: list[str], message: bytes) -> subprocess.CompletedProcess[bytes]:
    try:
        return subprocess.run(["ssh-keygen", *words], input=message, capture_output=True,
                              timeout=SECONDS, check=False)
    except (OSError, subprocess.TimeoutExpired) as fault:
        raise NotHere(f"ssh-keygen does not run here ({type(fault).__name__})") from None


# --- RFC 3161 ------------------------------------------------------------------------------------------------


def query(number: SealNumber) -> bytes:
    """An RFC 3161 query for the SHA-256 digest of the line, which asks for the authority's certificate. Raises NotHere.
    """
    if find_spec("rfc3161_client") is None:
        raise NotHere(NO_LIBRARY)
    from rfc3161_client import TimestampRequestBuilder
    from rfc3161_client.base import HashAlgorithm

    built = TimestampRequestBuilder().data(messages(number)[0]).hash_algorithm(HashAlgorithm.SHA256)
    return built.nonce(nonce=False).cert_request(cert_request=True).build().as_bytes()


def time_stamp(content: bytes, numbers: Sequence[SealNumber], authority: bytes) -> tuple[SealNumber, Judged]:
    """Of which of the numbers a time stamp is, by which authority, and the moment it says.

    `authority`: certificates in PEM by which it is verified. Raises NotVerified for another digest, an unknown or
    expired certificate, BadInput for a damaged file, NotHere.
    """
    if find_spec("rfc3161_client") is None:
        raise NotHere(NO_LIBRARY)
    from cryptography import x509
    from rfc3161_client import VerifierBuilder, decode_timestamp_response
    from rfc3161_client.errors import VerificationError

    try:
        answer = decode_timestamp_response(content)
        status, info = answer.status, answer.tst_info
        imprint, moment = info.message_imprint.message, info.gen_time
        own = [x509.load_der_x509_certificate(bytes(one)) for one in answer.signed_data.certificates]
    except Exception as fault:  # whatever a damaged answer makes the library raise
        # Also one whose certificates stand in another order than DER asks for, which the library does not take.
        raise BadInput("The file is no whole time stamp; it is cut off, damaged, or not put together by the rules. "
                       f"Nothing was stored. ({one_line(str(fault))[:80]})",
                       hint="Ask the authority again, if it can with its own certificate alone.") from None
    if status != 0:
        raise NotVerified("The authority refused to stamp it: ask again with a new query.")
    number = next((one for one in numbers if imprint in _digests(one)), None)
    if number is None:
        raise NotVerified("The time stamp is for another digest than that of the seal number's line.",
                          hint=Hint("Make the query again, and send that file: ",
                                    Action("witness", query="FILE.tsq")))
    roots = _certificates(authority)
    expired = [one for one in (*own, *roots) if not one.not_valid_before_utc <= moment <= one.not_valid_after_utc]
    if expired:
        raise NotVerified(f"The certificate of “{_name(expired[0])}” had expired, or was not yet valid, at the moment "
                          "that the time stamp says.")
    builder = VerifierBuilder()
    for one in dict.fromkeys(roots):
        builder = builder.add_root_certificate(one)
    try:
        # The answer's own certificates only lead up to those that are trusted: the library takes each it is given
        # for trusted.
        if not own:
            builder = builder.tsa_certificate(roots[0])
        builder.build().verify(answer, imprint)
    except (VerificationError, ValueError) as fault:
        raise NotVerified("The time stamp does not verify with the certificate of the authority: "
                          f"{one_line(str(fault))[:120]}.",
                          hint="Name the certificate of the authority that made it.") from None
    return number, Judged(TIME_STAMP, _name(_signer(answer, own or roots)), moment)


def _digests(number: SealNumber) -> set[bytes]:
    from hashlib import sha256, sha384, sha512

    return {make(message).digest() for message in messages(number) for make in (sha256, sha384, sha512)}


def _certificates(pem: bytes) -> list[Certificate]:
    from cryptography import x509

    try:
        return x509.load_pem_x509_certificates(pem)
    except ValueError:
        raise BadInput("The authority's file holds no certificate in PEM form "
                       "(“-----BEGIN CERTIFICATE-----”).") from None


def _name(certificate: Certificate) -> str:
    from cryptography.x509.oid import NameOID

    found = certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return one_line(str(found[0].value) if found else certificate.subject.rfc4514_string())[:100]


def _signer(answer: Any, own: Sequence[Certificate]) -> Certificate:
    serials = {one.serial_number for one in answer.signed_data.signer_infos}
    return next((one for one in own if one.serial_number in serials), own[0])
