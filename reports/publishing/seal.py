"""The contractor's seal on a file: issued by them, and not a letter changed since.

An electronic seal of a company (PAdES, ETSI EN 319 142-1, level B-B), not the
signature of a person, and no acceptance of a lift. It is off unless `SEAL_KEYS` names
a folder and the contractor has a key there. The seal is appended: a sealed file begins
with the bytes that its content draws.
"""

import stat
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from django.conf import settings

if TYPE_CHECKING:
    from pyhanko.sign.signers import SimpleSigner

_READ_BY_OTHERS = stat.S_IRWXG | stat.S_IRWXO
_FIELD = "Seal"


class SealRefused(Exception):
    """The key is there and the seal could not be set; the text says why."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _SealKey:
    """Where a contractor's key lies, with the password that opens it."""

    path: Path
    password: bytes | None


def sealed(
    drawn: bytes, *, contractor_id: int, reason: str, now: datetime
) -> bytes | None:
    """Return the file with the contractor's seal; None for those who have no key.

    Raises SealRefused. Nobody asks others for the time or for certificates that were
    taken back: a worker needs no way out to seal.
    """
    key = _key(contractor_id)
    if key is None:
        return None
    signer = _signer(key)
    _check_days(signer, now)
    return _signed(drawn, signer=signer, reason=reason)


def _key(contractor_id: int) -> _SealKey | None:
    if settings.SEAL_KEYS is None:
        return None
    path = Path(settings.SEAL_KEYS) / f"{contractor_id}.p12"
    password = path.with_suffix(".password")
    try:
        if not path.exists():
            return None
        _check_closed(path)
        if not password.exists():
            return _SealKey(path=path, password=None)
        _check_closed(password)
        return _SealKey(path=path, password=password.read_bytes().strip())
    except OSError as error:
        raise SealRefused(f"the key cannot be read: {error.strerror}") from error


def _check_closed(path: Path) -> None:
    if path.stat().st_mode & _READ_BY_OTHERS:
        raise SealRefused(f"{path.name} can be read by others; its mode must be 600")


def _signer(key: _SealKey) -> "SimpleSigner":
    # Seconds to import, and most installations have no key.
    from pyhanko.sign.signers import SimpleSigner

    load: Any = SimpleSigner.load_pkcs12
    signer: SimpleSigner | None = load(str(key.path), passphrase=key.password)
    if signer is None or signer.signing_cert is None:
        raise SealRefused(f"{key.path.name} cannot be opened with its password")
    return signer


def _check_days(signer: "SimpleSigner", now: datetime) -> None:
    certificate: Any = signer.signing_cert
    if not certificate.not_valid_before <= now <= certificate.not_valid_after:
        raise SealRefused(
            f"the certificate is good from {certificate.not_valid_before:%Y-%m-%d} "
            f"to {certificate.not_valid_after:%Y-%m-%d}"
        )


def _signed(drawn: bytes, *, signer: "SimpleSigner", reason: str) -> bytes:
    from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
    from pyhanko.sign.fields import SigSeedSubFilter
    from pyhanko.sign.signers import PdfSignatureMetadata, PdfSigner

    class Appending(IncrementalPdfFileWriter):
        """Leaves the metadata as they are: they are those of the document."""

        def _update_meta(self) -> None:
            pass

    told = PdfSignatureMetadata(
        field_name=_FIELD,
        md_algorithm="sha256",
        subfilter=SigSeedSubFilter.PADES,
        reason=reason,
    )
    written: BytesIO = PdfSigner(told, signer=signer).sign_pdf(
        Appending(BytesIO(drawn))
    )
    return written.getvalue()
