"""The contractor's seal: set once, told from a changed file, and never a condition."""

import hashlib
import io
from datetime import datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    NoEncryption,
    pkcs12,
)
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from reports import content, publishing
from reports.models import Report, ReportState
from reports.pdf import document
from reports.publishing import seal
from tests import archive
from tests.reports import sample_documents
from tests.reports.orders import NOW, asked

REASON = "Seal of the contractor: issued by them. It is no acceptance."


def key_of(folder, name, *, password=b"", until=NOW + timedelta(days=400)):
    """Write an invented contractor's key, readable by its owner alone."""
    key = ec.generate_private_key(ec.SECP256R1())
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "an invented contractor")])
    usage = x509.KeyUsage(True, True, *[False] * 7)
    certificate = (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(NOW - timedelta(days=400))
        .not_valid_after(until)
        .add_extension(usage, critical=True)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .sign(key, hashes.SHA256())
    )
    lock = BestAvailableEncryption(password) if password else NoEncryption()
    path = folder / f"{name}.p12"
    path.write_bytes(
        pkcs12.serialize_key_and_certificates(b"seal", key, certificate, None, lock)
    )
    path.chmod(0o600)
    if password:
        path.with_suffix(".password").write_bytes(password + b"\n")
        path.with_suffix(".password").chmod(0o600)
    return path


@pytest.fixture
def keys(tmp_path, settings):
    settings.SEAL_KEYS = str(tmp_path)
    return tmp_path


@pytest.fixture(scope="module")
def drawn():
    return document.issue(document=sample_documents.return_to_service())


def sealed(drawn, *, now=NOW):
    return seal.sealed(drawn, contractor_id=7, reason=REASON, now=now)


def judged(file):
    """Return what a checker of seals says, trusting the certificate in the file."""
    signature = PdfFileReader(io.BytesIO(file)).embedded_signatures[0]
    trusted = ValidationContext(
        trust_roots=[signature.signer_cert], moment=datetime.now(tz=NOW.tzinfo)
    )
    return validate_pdf_signature(signature, trusted)


def test_without_a_folder_or_a_key_nothing_is_sealed(drawn, settings, tmp_path):
    settings.SEAL_KEYS = None
    assert sealed(drawn) is None

    settings.SEAL_KEYS = str(tmp_path)
    assert sealed(drawn) is None


def test_a_sealed_file_is_the_drawn_one_with_a_seal_behind_it(drawn, keys):
    key_of(keys, 7, password=b"a password")

    file = sealed(drawn)

    told = judged(file)
    assert file.startswith(drawn)
    assert told.intact
    assert told.valid
    assert told.bottom_line
    signature = PdfFileReader(io.BytesIO(file)).embedded_signatures[0]
    assert signature.sig_object["/SubFilter"] == "/ETSI.CAdES.detached"
    assert signature.sig_object["/Reason"] == REASON
    assert archive.faults(file) == []


def test_a_letter_changed_under_the_seal_is_told(drawn, keys):
    key_of(keys, 7)
    file = bytearray(sealed(drawn))

    at = file.index(b"<dc:title>") + 60
    file[at] ^= 1

    assert not judged(bytes(file)).intact


def test_a_key_that_others_can_read_seals_nothing(drawn, keys):
    key_of(keys, 7).chmod(0o640)

    with pytest.raises(seal.SealRefused, match="can be read by others"):
        sealed(drawn)


def test_a_key_that_its_password_does_not_open_seals_nothing(drawn, keys):
    key_of(keys, 7, password=b"one")
    (keys / "7.password").write_bytes(b"another")

    with pytest.raises(seal.SealRefused, match="cannot be opened"):
        sealed(drawn)


def test_a_certificate_that_has_ended_seals_nothing(drawn, keys):
    key_of(keys, 7, until=NOW - timedelta(days=1))

    with pytest.raises(seal.SealRefused, match="good from"):
        sealed(drawn)


@pytest.mark.django_db
def test_a_report_is_sealed_once_and_what_it_draws_stays_the_same(north, keys):
    key_of(keys, north.contractor.pk)
    report = asked(north)

    publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    file = report.file.read()
    report.file.close()
    again = document.issue(document=content.from_plain(report.content))
    assert judged(file).intact
    assert file.startswith(again)
    assert report.file_sha256 == hashlib.sha256(file).hexdigest()
    assert report.unsealed_sha256 == hashlib.sha256(again).hexdigest()
    before = Report.objects.values().get(pk=report.pk)
    assert (
        publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)
        is None
    )
    assert Report.objects.values().get(pk=report.pk) == before


@pytest.mark.django_db
def test_a_report_that_cannot_be_sealed_waits_and_says_why(north, keys):
    key_of(keys, north.contractor.pk).chmod(0o644)
    report = asked(north)

    publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    assert (report.state, report.attempts) == (ReportState.DUE, 1)
    assert report.problem.startswith("the file could not be sealed: ")
    assert not report.file


@pytest.mark.django_db
def test_a_draft_carries_no_seal(north, keys):
    key_of(keys, north.contractor.pk)
    report = asked(north, needs_release=True)

    publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    assert report.state == ReportState.WAITING
    assert report.unsealed_sha256 == ""
    assert b"/ETSI.CAdES.detached" not in report.file.read()
    report.file.close()
