"""Documents over HTTP: each kind asked for, made and fetched in each language."""

import pytest

from fleet.models import Job
from reports import publishing
from tests import callers
from tests.reports.orders import NOW
from tests.reports.test_api import DAYS, ask, place

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("kind", "prefix"),
    [
        ("CONDITION_REPORT", "CR-mill-house-20260101-"),
        ("FIELD_SHEET", "FS-MH-1-20260101-"),
        ("RETURN_TO_SERVICE", "RS-MH-1-20260101-"),
        ("REGROOVE_ORDER", "RO-MH-1-20260101-"),
        ("PORTFOLIO_REVIEW", "PR-north-20260101-"),
    ],
)
@pytest.mark.parametrize("language", ["en", "de"])
def test_each_kind_is_asked_for_made_and_fetched(measured, kind, prefix, language):
    answer = ask(
        measured, DAYS | {"kind": kind, "language": language} | place(measured, kind)
    )

    assert answer.status_code == 202, answer.content
    assert answer.json()["number"].startswith(prefix)
    job = Job.objects.get(pk=answer.json()["job"])
    callers.confine(measured)
    publishing.publish(scope=measured.scope(), report_id=job.subject_id, issued_at=NOW)
    report = callers.call(measured, "GET", f"/api/v1/reports/{job.subject_id}").json()
    assert (report["state"], report["problem"]) == ("PUBLISHED", "")
    file = callers.call(measured, "GET", f"/api/v1/reports/{job.subject_id}/file")
    assert b"".join(file.streaming_content).startswith(b"%PDF")
