"""Digests of bodies: what was sent is what arrived, and what goes out can be checked.

The field Content-Digest (RFC 9530, 2) says the digest of the bytes that were sent,
Repr-Digest (RFC 9530, 3) that of a whole file, however it is fetched. Both are
dictionaries of byte sequences (RFC 8941, 3.2).
"""

import base64
import binascii
import hashlib
import hmac
import re

from fleet.platform.errors import DomainError

# The two that RFC 9530, 5 calls active; the others protect nothing and are not looked
# at, as it allows.
ALGORITHMS = {"sha-256": hashlib.sha256, "sha-512": hashlib.sha512}

_MEMBER = re.compile(
    r"([a-z*][a-z0-9_.*-]*)=:([A-Za-z0-9+/=]*):"
    r"(?:;[ ]*[a-z*][a-z0-9_.*-]*(?:=[^,;]*)?)*",
    re.ASCII,
)
_COMMA = re.compile(r"[ \t]*,[ \t]*")


class DigestUnreadable(DomainError):
    """Content-Digest is written like sha-256=:BASE64:, several with commas between."""

    code = "digest-unreadable"


class DigestMismatch(DomainError):
    """The body is not the one whose digest was sent; nothing of it was stored."""

    code = "digest-mismatch"


def check(*, field: str | None, content: bytes) -> None:
    """Compare a body with each digest that its sender gave.

    Raises DigestUnreadable, DigestMismatch.
    """
    for name, expected in _digests(field or ""):
        made = ALGORITHMS[name](content).digest()
        if not hmac.compare_digest(made, expected):
            raise DigestMismatch(f"the body's {name} is not the one in Content-Digest")


def written(*, sha256: str) -> str:
    """Return a digest, given in hexadecimal, as a field's value.

    >>> written(sha256="00" * 32)
    'sha-256=:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=:'
    """
    return f"sha-256=:{base64.b64encode(bytes.fromhex(sha256)).decode()}:"


def _digests(field: str) -> list[tuple[str, bytes]]:
    found = []
    for member in _COMMA.split(field.strip()) if field.strip() else ():
        match = _MEMBER.fullmatch(member)
        if match is None:
            raise DigestUnreadable
        if match[1] in ALGORITHMS:
            found.append((match[1], _bytes(match[2])))
    return found


def _bytes(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except binascii.Error as error:
        raise DigestUnreadable from error
