"""What each document says: complete, in plain words, in a fixed number of queries."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from fleet.models import Building, Machine, Work
from inspections.models import (
    Assessment,
    Finding,
    Reading,
)
from reports import content, publishing
from reports.composition import compose, tests_made
from reports.composition.reader import Reader
from tests import callers, estates, factories
from tests.reports.machine_readings import readings
from tests.reports.orders import NOW, PERIOD, asked, made

pytestmark = pytest.mark.django_db


def of_machine(cast, kind, **order):
    callers.confine(cast)
    machine = factories.machine(cast.scope())
    whole = {"kind": kind, "owner": machine.building.owner, "machine": machine} | order
    report, _ = publishing.request(
        scope=cast.scope(),
        order=publishing.Order(building=machine.building, **(PERIOD | whole)),
        now=NOW,
    )
    return report


def composed(cast, report, at=NOW):
    return compose(scope=cast.scope(), report=report, issued_at=at)


def again(reading, reference, **changes):
    """Store a reading like another; readings themselves are never changed."""
    reading.pk, reading.reference = None, reference
    for name, value in changes.items():
        setattr(reading, name, value)
    reading.save()


METRIC = Reader(family="METRIC", zone=NOW.tzinfo)


def squeezed(text):
    return "".join(text.split())


def printed(report):
    with report.file.open("rb") as file:
        return squeezed("".join(page.extract_text() for page in PdfReader(file).pages))


def test_the_printed_text_has_the_cautions_on_page_one_and_at_every_foot(north):
    report = made(north)
    frozen = content.from_plain(report.content)

    with report.file.open("rb") as file:
        pages = [squeezed(page.extract_text()) for page in PdfReader(file).pages]

    for caution in frozen.masthead.cautions:
        assert any(squeezed(caution.text) in page for page in pages)
        if caution.on_first_page:
            assert squeezed(caution.text) in pages[0]
    assert all(squeezed(frozen.masthead.deferral) in page for page in pages)
    assert all(report.checksum in page for page in pages)
    assert all(report.number in page for page in pages)


def test_changes_tell_of_grades_work_and_readings_since_the_last_report(north):
    first = made(north)
    readings(north)
    machine = factories.machine(north.scope())
    Work.objects.create(
        contractor=north.contractor,
        machine=machine,
        kind="SHORTENING",
        done_on=NOW.date() + timedelta(days=2),
    )
    # Too little is checked for any better grade; worse is always told.
    Finding.objects.filter(current=True, topic="traction").update(grade="ACT_NOW")
    Assessment.objects.update(grade="ACT_NOW")
    later_on = {"taken_at": NOW + timedelta(days=1)}
    again(Reading.objects.filter(kind="rope_diameter").first(), "new-1", **later_on)
    again(Reading.objects.filter(kind="rope_diameter").last(), "new-2", **later_on)

    later = composed(
        north,
        asked(north, period_end=date(2026, 7, 1)),
        at=NOW + timedelta(days=3),
    )

    said = "\n".join(later.summary.answers[-1].paragraphs)
    assert f"Since report {first.number} of 1 Jun 2026" in said
    assert "MH-1: not known → act now" in said
    assert "MH-1: shortening on 3 Jun 2026." in said
    assert "new readings, the last of 2 Jun 2026" in said


def test_changes_blame_no_rules_for_what_was_read(north):
    made(north)
    readings(north)
    Assessment.objects.update(as_of=NOW + timedelta(days=1))

    later = composed(
        north,
        asked(north, period_end=date(2026, 7, 1)),
        at=NOW + timedelta(days=3),
    )

    assert "rules" not in "\n".join(later.summary.answers[-1].paragraphs).lower()


# --- a fixed number of queries --------------------------------------------------------
@pytest.mark.parametrize("kind", ["CONDITION_REPORT", "PORTFOLIO_REVIEW"])
def test_composing_needs_as_many_queries_for_ten_machines_as_for_two(north, kind):
    callers.confine(north)
    place = Building.objects.get(code="mill-house")
    order = {"owner": place.owner, "building": place}
    if kind == "PORTFOLIO_REVIEW":
        order = {}
    report, _ = publishing.request(
        scope=north.scope(),
        order=publishing.Order(kind=kind, **order, **PERIOD),
        now=NOW,
    )
    estates.grow(north, machines=1, mark="first")
    with CaptureQueriesContext(connection) as few:
        composed(north, report)
    estates.grow(north, machines=8)

    with CaptureQueriesContext(connection) as many:
        composed(north, report)

    assert len(many) == len(few)
    # Three of them ask which readings count, of one table after another.
    assert len(few) <= 33


def test_a_v_sheave_is_measured_by_its_seat_bands(north):
    callers.confine(north)
    machine = Machine.objects.get(code="QC-1")
    report, _ = publishing.request(
        scope=north.scope(),
        order=publishing.Order(
            kind="FIELD_SHEET",
            owner=machine.building.owner,
            building=machine.building,
            machine=machine,
            **PERIOD,
        ),
        now=NOW,
    )

    sheet = composed(north, report)

    assert "Width of the seat band" in [s.what for s in sheet.steps]
    assert next(s for s in sheet.steps if s.what == "Rope diameter").unit == "in"


def test_what_was_found_alike_on_many_days_stands_once():
    rows = [("slip seen", "no", "Tobin", f"{day} May 2026") for day in range(1, 7)]

    found = tests_made.often([*rows, ("slip seen", "yes", "Tobin", "7 May 2026")])

    assert found == (
        ("slip seen", "no", "Tobin", "6 times, 1 May 2026 to 6 May 2026"),
        ("slip seen", "yes", "Tobin", "7 May 2026"),
    )


def test_a_record_without_work_says_so(north):
    record = composed(north, of_machine(north, "RETURN_TO_SERVICE"))

    assert "No work was reported in these days." in record.summary
    # A test of before says nothing of work that was not done.
    assert record.tests_made.rows == ()
    assert "no acceptance" in record.summary
    assert record.not_ready.endswith("There is no work to accept.")
    assert record.acceptance.lines == ()


def test_a_record_with_nothing_open_has_the_inspectors_own_field(north):
    callers.confine(north)
    Work.objects.create(
        contractor=north.contractor,
        machine=factories.machine(north.scope()),
        kind="OTHER",
        done_on=date(2026, 3, 10),
    )

    record = composed(north, of_machine(north, "RETURN_TO_SERVICE"))

    assert record.not_ready == ""
    labels = [line.label for line in record.acceptance.lines]
    assert labels == [
        "Inspector",
        "Authority",
        "Accepted, refused, with conditions",
        "Date and signature",
    ]
    assert all(line.value == "" for line in record.acceptance.lines)


# --- the portfolio review -------------------------------------------------------------
def review(cast):
    callers.confine(cast)
    report, _ = publishing.request(
        scope=cast.scope(),
        order=publishing.Order(
            kind="PORTFOLIO_REVIEW",
            period_start=date(2026, 1, 1),
            period_end=date(2026, 7, 1),
        ),
        now=NOW,
    )
    return composed(cast, report, at=NOW + timedelta(days=500))


def test_a_review_without_judged_forecasts_says_so(north):
    frozen = review(north)

    assert frozen.forecast_remarks == ("No forecast came to its end in this period.",)


def test_a_document_names_the_address_of_its_page(north, settings):
    report = asked(north)

    settings.PUBLIC_URL = ""
    assert composed(north, report).masthead.address == ""
    settings.PUBLIC_URL = "https://reports.north.example"
    address = composed(north, report).masthead.address

    assert address == f"reports.north.example/reports/{report.pk}"
