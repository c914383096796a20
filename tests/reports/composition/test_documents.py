"""What each document says: complete, in plain words, in a fixed number of queries."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from fleet.models import Building, Machine, Work
from inspections import worklist
from inspections.models import (
    Assessment,
    Finding,
    Forecast,
    Grade,
    IntervalVerdict,
    Reading,
    Visit,
)
from reports import content, publishing
from reports.composition import compose, findings, reasons, tests_made, words
from reports.composition.reader import Reader
from reports.models import ReportKind
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


# --- the condition report -------------------------------------------------------------
def test_the_printed_text_has_every_findings_value_limit_and_source(north):
    readings(north)
    report = made(north)
    reader = Reader(family="METRIC", zone=NOW.tzinfo)

    text = printed(report)

    found = Finding.objects.exclude(grade=Grade.NOT_ASSESSED)
    assert found.count() > 15
    for finding in found:
        shown = findings.figures(finding, reader=reader)
        for said in (shown["value"], shown["limit"], finding.source):
            assert squeezed(said) in text, (finding, said)
        assert squeezed(words.topic(finding.topic).what) in text


def test_the_printed_text_has_every_gap_with_its_reason(north):
    readings(north)
    report = made(north)

    text = printed(report)

    gaps = Finding.objects.filter(grade=Grade.NOT_ASSESSED)
    assert gaps.count() > 2
    for gap in gaps:
        why = reasons.stored(gap.said, gap.reason, reader=METRIC)
        assert squeezed(why) in text, gap


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


def test_readings_are_named_by_their_own_ids(north):
    readings(north)

    frozen = composed(north, asked(north))

    tables = frozen.machines[0].reading_matrices
    listed = " ".join(cell for t in tables for row in t.rows for cell in row)
    used = {pk for f in Finding.objects.all() for pk in f.readings}
    assert used
    for reading in Reading.objects.filter(pk__in=used):
        assert f"{reading.typed_value} {reading.typed_unit} (R{reading.pk})" in listed


def test_readings_stand_by_place_and_day_with_who_read_them(north):
    readings(north)

    tables = composed(north, asked(north)).machines[0].reading_matrices

    table = next(t for t in tables if t.title == "MH-1: clearance under the rope")
    headings = [column.heading for column in table.columns]
    assert headings[-1] == "4 May 2026"
    assert [row[0] for row in table.rows] == [f"groove {n}" for n in range(1, 6)]
    assert any(
        "north-tech read it, without a gauge being stated" in t.note for t in tables
    )


def test_page_one_answers_the_five_questions(north):
    readings(north)

    summary = composed(north, asked(north)).summary

    assert [answer.question for answer in summary.answers] == [
        "What must be decided, and by when?",
        "What may it cost?",
        "Was anything found beyond a limit?",
        "Which checks were not made?",
        "What changed since the last report?",
    ]
    assert all(answer.paragraphs for answer in summary.answers)
    # What begins with a machine's code says so by the code too.
    for answer in summary.answers[2:4]:
        begins = [text.startswith("MH-1:") for text in answer.paragraphs]
        assert [head == ("MH-1",) for head in answer.heads] == begins
    assert ("MH-1",) in summary.answers[3].heads
    assert summary.call.startswith("Questions and answers to ")
    assert summary.next_visit.startswith("Next readings: ")


PROMISES = (
    *("safe to", "is safe", "approved", "guarantee"),
    *("fine to", "still holds", "cures"),
)


def test_no_word_promises_anything(north):
    readings(north)

    text = printed(made(north)).lower()

    assert len(text) > 1000
    assert [promise for promise in PROMISES if squeezed(promise) in text] == []


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


@pytest.mark.parametrize(
    ("causes", "language", "said"),
    [
        pytest.param(
            *(["RULES"], "en"),
            "MH-1: plan work → act now. The rules changed, not the mach",
            marks=pytest.mark.long,
        ),
        (
            ["RULES"],
            "de",
            "MH-1: Arbeit einplanen → sofort handeln. Die Regeln haben sich",
        ),
        pytest.param(
            *(["RULES", "FACTS"], "en"),
            "were corrected, and readings, register or dates",
            marks=pytest.mark.long,
        ),
        (["BOTH"], "en", "were corrected, and readings, register or dates changed"),
    ],
)
def test_changes_tell_corrected_rules_from_another_machine(
    north, causes, language, said
):
    readings(north)
    made(north, language=language)
    Finding.objects.filter(current=True, topic="traction").update(grade="ACT_NOW")
    row = Assessment.objects.get()
    for cause in causes:
        row.pk, row.cause, row.grade = None, cause, "ACT_NOW"
        row.as_of = NOW + timedelta(days=1)
        row.save()

    later = composed(
        north,
        asked(north, period_end=date(2026, 7, 1), language=language),
        at=NOW + timedelta(days=3),
    )

    assert said in "\n".join(later.summary.answers[-1].paragraphs)


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


def test_work_done_stands_on_the_curves(north):
    readings(north)
    machine = factories.machine(north.scope())
    Work.objects.create(
        contractor=north.contractor,
        machine=machine,
        kind="LUBRICATION",
        done_on=date(2025, 9, 1),
    )

    frozen = composed(north, asked(north))

    events = [e.label for curve in frozen.machines[0].wear_curves for e in curve.events]
    assert "lubrication" in events


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
    assert len(few) <= 30


# --- the field sheet ------------------------------------------------------------------
def minutes_of(sheet):
    """Return the minutes of the steps; further kinds of one step take none."""
    return sum(int(s.time.split()[0]) for s in sheet.steps if s.time[0].isdigit())


def test_a_field_sheet_fits_its_time_and_begins_with_slip_and_brake(north):
    readings(north)

    for minutes in (5, 30, 120):
        sheet = composed(north, of_machine(north, "FIELD_SHEET", minutes=minutes))
        assert 0 < minutes_of(sheet) <= minutes
        assert sheet.time_budget.startswith(f"{minutes_of(sheet)} of {minutes} ")
        assert sheet.steps[0].what == "Slip seen"
        publishing_done(north)


def test_a_field_sheet_lists_what_is_due_in_the_worklists_order(north):
    readings(north)
    machine = factories.machine(north.scope())

    sheet = composed(north, of_machine(north, "FIELD_SHEET"))

    listed = worklist.worklist(
        scope=north.scope(),
        machine_id=machine.pk,
        visit="ROUTINE",
        minutes=30,
        as_of=NOW,
    )
    kinds = [i.kind for step in listed.steps for i in step.items]
    named = [words.kind(kind).lower() for kind in dict.fromkeys(kinds)]
    assert [step.what.lower() for step in sheet.steps] == named
    assert all(step.why for step in sheet.steps)
    left = next(row for row in sheet.description if row.label == "Not within this time")
    assert all(words.kind(s.items[0].kind) in left.value for s in listed.left_out)


def test_what_takes_a_machine_out_of_service_stands_first_on_its_sheet(north):
    readings(north)
    Finding.objects.filter(topic="traction").update(stops_service=True)

    sheet = composed(north, of_machine(north, "FIELD_SHEET"))

    first = sheet.description[0]
    assert first.label == "Out of service"
    assert "until a competent person has decided" in first.value


def publishing_done(cast):
    """Let the next sheet of the same days be asked for."""
    from reports.models import Report

    Report.objects.update(state="CANCELLED")


def test_a_field_sheet_has_a_box_for_every_place_with_its_last_value(north):
    readings(north)

    sheet = composed(north, of_machine(north, ReportKind.FIELD_SHEET))

    diameters = next(s for s in sheet.steps if s.what == "Rope diameter")
    assert len(diameters.boxes) == 10
    assert diameters.boxes[0].label == "rope 1, direction 1"
    assert diameters.boxes[0].last == "12.9 mm"
    assert diameters.unit == "mm"
    clearance = next(s for s in sheet.steps if s.what.startswith("Clearance"))
    assert "mm" in clearance.limit
    said = (clearance.watch, *(box.watch for box in clearance.boxes))
    assert any("again if" in words for words in said)
    assert sheet.qr_text == "MH-1"


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


# --- the return-to-service record -----------------------------------------------------
def test_the_record_has_the_work_the_readings_the_tests_and_an_empty_acceptance(north):
    readings(north)
    machine = factories.machine(north.scope())
    Work.objects.create(
        contractor=north.contractor,
        machine=machine,
        kind="ROPING",
        done_on=date(2026, 5, 4),
        done_by="two of our own",
    )
    visit = Visit.objects.filter(visited_at__year=2026).get()
    visit.kind = "AS_LEFT"
    visit.save()
    again(
        Reading.objects.filter(visit=visit).first(),
        "slip",
        kind="slip_seen",
        value=None,
        word="no",
        rope=None,
        groove=None,
        typed_value="no",
        typed_unit="",
        place={},
    )
    report = of_machine(
        north,
        "RETURN_TO_SERVICE",
        period_start=date(2026, 5, 1),
        period_end=date(2026, 6, 1),
    )

    record = composed(north, report)

    assert record.work_done.rows[0][:3] == (
        "re-roping",
        "4 May 2026",
        "two of our own",
    )
    assert any("clearance under the rope" in row[0] for row in record.as_left.rows)
    assert record.tests_made.rows == (("slip seen", "no", "north-tech", "4 May 2026"),)
    asked = {row[0]: row[1:] for row in record.required.rows}
    assert asked["Traction test, 125 % static"] == ("", "", "")
    assert asked["Counterweight run-by"] == ("", "", "")
    assert "Traction test, 125 % static" in record.not_ready
    assert record.summary.startswith("NOT READY FOR ACCEPTANCE. Not read or tested")
    # What is open is not offered to be signed.
    assert record.acceptance.lines == ()
    assert record.acceptance.statement.startswith("Not offered for acceptance")
    assert {row.label for row in record.rope_tag} >= {"Ropes", "Certificate"}


@pytest.mark.parametrize(("day", "is_told"), [(3, False), (11, True)])
def test_only_a_test_made_after_the_work_answers_what_is_asked(north, day, is_told):
    readings(north)
    Work.objects.create(
        contractor=north.contractor,
        machine=factories.machine(north.scope()),
        kind="ROPING",
        done_on=date(2026, 5, 10),
    )
    again(
        Reading.objects.filter(visit__visited_at__year=2026).first(),
        "test",
        kind="traction_test",
        value=None,
        word="held",
        rope=None,
        groove=None,
        typed_value="held",
        typed_unit="",
        place={"case": "empty car up"},
        taken_at=datetime(2026, 5, day, 12, tzinfo=UTC),
    )
    period = {"period_start": date(2026, 5, 1), "period_end": date(2026, 6, 1)}

    record = composed(north, of_machine(north, "RETURN_TO_SERVICE", **period))

    name = "Traction test, empty car up"
    results = {row[0]: row[1] for row in record.required.rows}
    assert results[name] == ("the ropes held" if is_told else "")
    assert (name in record.not_ready) is not is_told


def test_over_years_a_work_is_answered_by_what_was_read_after_it(north):
    readings(north)
    machine = factories.machine(north.scope())
    for kind, done_on in (("ROPING", "2026-05-10"), ("LUBRICATION", "2026-07-01")):
        Work.objects.create(
            contractor=north.contractor, machine=machine, kind=kind, done_on=done_on
        )
    first = Reading.objects.filter(visit__visited_at__year=2026).first()
    told = (
        ("empty car up", "slipped", 5, 11),
        ("empty car up", "held", 5, 14),
        ("loaded car down", "held", 5, 11),
        ("loaded car down", "held", 9, 20),
    )
    for number, (case, word, month, day) in enumerate(told):
        again(
            first,
            f"test-{number}",
            kind="traction_test",
            value=None,
            word=word,
            rope=None,
            groove=None,
            typed_value=word,
            typed_unit="",
            place={"case": case},
            taken_at=datetime(2026, month, day, 12, tzinfo=UTC),
        )
    period = {"period_start": date(2026, 5, 1), "period_end": date(2026, 12, 1)}

    record = composed(north, of_machine(north, "RETURN_TO_SERVICE", **period))

    rows = [(row[0], row[1], row[3]) for row in record.required.rows]
    # What was tried again after it slid stands beside it; months later is no answer.
    assert [row[1:] for row in rows if "empty car up" in row[0]] == [
        ("the ropes slipped", "11 May 2026"),
        ("the ropes held", "14 May 2026"),
    ]
    assert [row[1:] for row in rows if "loaded car down" in row[0]] == [
        ("the ropes held", "11 May 2026")
    ]


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


def test_the_review_lists_what_is_overdue_the_latest_first(north):
    readings(north)

    rows = review(north).overdue.rows

    assert [row[0].split()[0] for row in rows] == ["QC-1", "MH-1"] or [
        row[0].split()[0] for row in rows
    ] == ["MH-1", "QC-1"]
    measured = next(row for row in rows if row[0].startswith("MH-1"))
    assert measured[2:4] == ("4 May 2026", "4 May 2027")
    assert next(row for row in rows if row[0].startswith("QC-1"))[2] == "never"


def test_the_review_tells_hits_and_misses_of_the_forecasts(north):
    readings(north)
    some = list(Forecast.objects.all()[:3])
    assert len(some) == 3
    for forecast, verdict in zip(
        some,
        (IntervalVerdict.HIT, IntervalVerdict.HIT, IntervalVerdict.EARLY),
        strict=True,
    ):
        forecast.verdict, forecast.verdict_on = verdict, date(2026, 3, 1)
        forecast.class_name = "rope diameter"
        forecast.save()

    frozen = review(north)

    assert frozen.forecast_record.rows == (("rope diameter", "3", "2", "2", "1", "0"),)
    figures = {row.label: row.value for row in frozen.figures}
    assert figures["limits reached within the band of the forecast"] == "67 %"


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
