"""A report waits for a named person, who lets it go out or withdraws it."""

from datetime import timedelta

import pytest
import time_machine

from reports import content, publishing
from reports.models import Delivery, Report, ReportState
from reports.pdf import document
from tests import callers
from tests.reports.orders import NOW, asked, made, run_jobs

# What a file says is drawn and read back elsewhere.
pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("plain_files")]

ANNA = "anna@mill.example"


@pytest.fixture
def waiting(north):
    person = north.memberships["OFFICE"].person
    person.first_name, person.last_name = "Ada", "Kowalska"
    person.save()
    return made(north, needs_release=True, recipients=(ANNA,))


def release(cast, report, **how):
    return callers.call(cast, "POST", f"/api/v1/reports/{report.pk}/release", **how)


def finish(cast, report):
    callers.confine(cast)
    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        run_jobs(cast, kind=publishing.PUBLISH)
    report.refresh_from_db()


def pdf(report):
    with report.file.open("rb") as file:
        return file.read()


def test_it_waits_as_a_draft_and_nothing_is_sent(really_drawn, waiting):
    frozen = content.from_plain(waiting.content)

    assert waiting.state == ReportState.WAITING
    assert waiting.issued_at is None
    assert waiting.file.name.endswith("-draft.pdf")
    assert frozen.masthead.released.startswith("Draft: not released yet")
    assert not Delivery.objects.exists()


def test_only_the_office_sees_a_draft(north, waiting):
    address = f"/api/v1/reports/{waiting.pk}"

    drawn = callers.call(north, "GET", f"{address}/file")
    assert b"".join(drawn.streaming_content).startswith(b"%PDF")
    for path in (address, f"{address}/file", f"{address}/figures"):
        answer = callers.call(north, "GET", path, role="OWNER_READER")
        assert callers.is_problem(answer, 404, "not-found")


def test_released_it_says_by_whom_and_goes_out(north, mail, waiting):
    answer = release(north, waiting)

    assert answer.status_code == 202, answer.content
    assert answer.json()["released_by_name"] == "Ada Kowalska"
    finish(north, waiting)
    frozen = content.from_plain(waiting.content)
    assert waiting.state == ReportState.PUBLISHED
    assert frozen.masthead.released == (
        "Released by Ada Kowalska of North Lifts (not an inspection)."
    )
    assert document.issue(document=frozen) == pdf(waiting)
    run_jobs(north)
    assert [address for address, _ in mail.taken] == [ANNA]


def test_what_is_released_is_what_was_read(north, waiting):
    draft = content.from_plain(waiting.content)
    callers.confine(north)
    waiting.building.name = "Renamed meanwhile"
    waiting.building.save()

    release(north, waiting)
    finish(north, waiting)

    issued = content.from_plain(waiting.content)
    assert issued.machines == draft.machines
    assert issued.summary == draft.summary
    assert issued.masthead.place == draft.masthead.place
    assert issued.masthead.issued == "2 Jun 2026"


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_nobody_else_can_release(north, waiting, role):
    answer = release(north, waiting, role=role)

    assert callers.is_problem(answer, 403, "permission-denied")
    callers.confine(north)
    assert Report.objects.get(pk=waiting.pk).state == ReportState.WAITING


def test_a_draft_is_the_offices_until_it_is_released(north, waiting):
    path = f"/api/v1/reports/{waiting.pk}"
    for role in ("TECHNICIAN", "OWNER_READER"):
        for what in ("", "/file", "/figures"):
            answer = callers.call(north, "GET", path + what, role=role)
            assert callers.is_problem(answer, 404, "not-found")
        listed = callers.call(north, "GET", "/api/v1/reports", role=role).json()
        assert listed["results"] == []
    drawn = callers.call(north, "GET", f"{path}/file")
    assert drawn.status_code == 200
    assert b"".join(drawn.streaming_content)

    release(north, waiting)
    finish(north, waiting)

    for role in ("TECHNICIAN", "OWNER_READER"):
        answer = callers.call(north, "GET", f"{path}/file", role=role)
        assert answer.status_code == 200
        assert b"".join(answer.streaming_content)


def test_it_is_released_once(north, waiting):
    release(north, waiting)

    assert callers.is_problem(release(north, waiting), 409, "not-waiting")


def test_what_needs_no_release_cannot_be_released(north):
    report = made(north)

    assert callers.is_problem(release(north, report), 409, "not-waiting")


def test_a_foreign_report_cannot_be_released(waiting, settings, tmp_path):
    from tests import factories

    south = factories.cast(code="south")

    assert callers.is_problem(release(south, waiting), 404, "not-found")


def test_withdrawn_it_is_never_sent_and_can_be_asked_for_again(north, mail, waiting):
    answer = callers.call(north, "POST", f"/api/v1/reports/{waiting.pk}/withdraw")

    assert answer.json()["state"] == "CANCELLED"
    assert answer.json()["problem"] == "withdrawn by Ada Kowalska"
    again = asked(north)
    assert (again.revision, again.supersedes) == (2, None)


def test_a_waiting_report_is_not_asked_for_again(north, waiting):
    with pytest.raises(publishing.StillDue, match="waiting for release"):
        asked(north)


def test_the_database_refuses_a_published_report_that_nobody_released(waiting):
    from django.db import IntegrityError

    with pytest.raises(IntegrityError, match="report_published_was_released"):
        Report.objects.filter(pk=waiting.pk).update(state=ReportState.PUBLISHED)
