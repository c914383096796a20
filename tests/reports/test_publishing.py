"""A report is composed, frozen, drawn and stored; each of them once."""

import hashlib
from datetime import date

import pytest
from django.test import Client

from fleet.models import Building, Job
from fleet.platform.choices import JobState
from reports import content, publishing
from reports.models import Report, ReportState
from reports.pdf import document
from tests.reports.machine_readings import readings
from tests.reports.orders import NOW, PERIOD, asked

pytestmark = pytest.mark.django_db


def test_published_report_is_frozen_and_its_file_is_what_its_content_draws(north):
    readings(north)
    report = asked(north)

    done = publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    stored = report.file.read()
    report.file.close()
    frozen = content.from_plain(report.content)
    assert done
    assert report.state == ReportState.PUBLISHED
    assert report.file_sha256 == hashlib.sha256(stored).hexdigest()
    assert report.checksum == content.checksum(frozen)
    assert document.issue(document=frozen) == stored


def test_second_run_changes_nothing(north):
    report = asked(north)
    publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)
    before = Report.objects.values().get(pk=report.pk)

    again = publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    assert again is None
    assert Report.objects.values().get(pk=report.pk) == before


def test_same_period_again_is_a_revision_that_names_the_one_it_replaces(north):
    first = asked(north)
    publishing.publish(scope=north.scope(), report_id=first.pk, issued_at=NOW)
    first.refresh_from_db()
    old = first.file.read()
    first.file.close()

    second = asked(north)
    publishing.publish(scope=north.scope(), report_id=second.pk, issued_at=NOW)

    second.refresh_from_db()
    first.refresh_from_db()
    kept = first.file.read()
    first.file.close()
    assert (second.revision, second.supersedes) == (2, first)
    masthead = content.from_plain(second.content).masthead
    assert masthead.supersedes == f"{first.number} revision 1"
    assert kept == old
    assert second.file.name != first.file.name


def test_report_that_is_being_made_is_not_asked_for_twice(north):
    asked(north)

    with pytest.raises(publishing.StillDue):
        asked(north)


def test_period_that_runs_backwards_is_refused(north):
    with pytest.raises(publishing.PeriodRunsBackwards):
        asked(north, period_end=date(2025, 1, 1))


def test_name_the_font_lacks_fails_the_report_and_names_the_field(north):
    scope = north.scope()
    Building.objects.within(scope).filter(code="mill-house").update(name="Mill 🏠")
    report = asked(north)

    publishing.publish(scope=scope, report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    assert report.state == ReportState.FAILED
    assert "masthead" in report.problem
    assert not report.file


def test_report_says_what_was_found_and_what_was_not_made(north):
    readings(north)
    report = asked(north)

    publishing.publish(scope=north.scope(), report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    machine = content.from_plain(report.content).machines[0]
    whats = {row[0] for row in machine.checks.rows}
    missing = {item.what for item in machine.not_assessed}
    assert any(what.startswith("Traction of the ropes on the sheave") for what in whats)
    assert any(what.startswith("Clearance between rope and") for what in whats)
    assert any(item.startswith("Metal under the grooves") for item in missing)
    assert machine.groove_sections
    assert machine.wear_curves


def test_owner_with_inches_reads_inches_on_letter_paper(north):
    scope = north.scope()
    building = Building.objects.within(scope).get(code="quay-court")
    order = publishing.Order(owner=building.owner, building=building, **PERIOD)
    report, _ = publishing.request(scope=scope, order=order, now=NOW)

    publishing.publish(scope=scope, report_id=report.pk, issued_at=NOW)

    report.refresh_from_db()
    frozen = content.from_plain(report.content)
    rows = {row.label: row.value for row in frozen.machines[0].description}
    assert frozen.masthead.paper == content.PaperSize.LETTER
    assert rows["Sheave"] == "23.6 in as new"
    assert rows["Rated load, speed"] == "2205 lb, 315 ft/min"


def test_office_asks_over_http_and_owner_fetches_the_file(north):
    body = {
        "building": Building.objects.within(north.scope()).get(code="mill-house").pk
    }
    body |= {key: str(value) for key, value in PERIOD.items()}

    answer = Client().post(
        "/api/v1/reports",
        body,
        content_type="application/json",
        headers=north.headers("OFFICE"),
    )

    assert answer.status_code == 202, answer.content
    job = Job.objects.get(pk=answer.json()["job"])
    assert job.state == JobState.QUEUED
    assert answer["Location"].endswith(f"/api/v1/jobs/{job.pk}")
    address = f"/api/v1/reports/{answer.json()['id']}"
    waiting = Client().get(f"{address}/file", headers=north.headers("OWNER_READER"))
    assert waiting.status_code == 404
    publishing.publish(
        scope=north.scope(), report_id=answer.json()["id"], issued_at=NOW
    )
    fetched = Client().get(f"{address}/file", headers=north.headers("OWNER_READER"))
    assert b"".join(fetched.streaming_content).startswith(b"%PDF")
    fetched.close()


def test_owner_cannot_fetch_another_owners_report(north):
    scope = north.scope()
    building = Building.objects.within(scope).get(code="quay-court")
    order = publishing.Order(owner=building.owner, building=building, **PERIOD)
    report, _ = publishing.request(scope=scope, order=order, now=NOW)

    answer = Client().get(
        f"/api/v1/reports/{report.pk}", headers=north.headers("OWNER_READER")
    )

    assert answer.status_code == 404
