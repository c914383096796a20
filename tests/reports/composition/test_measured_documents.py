"""What the documents of a machine say that was measured twice, judged and forecast."""

from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.models import Work
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
from reports.composition import findings, reasons, words
from reports.composition.reader import Reader
from reports.models import ReportKind
from tests import factories
from tests.reports.composition.test_documents import (
    METRIC,
    again,
    composed,
    of_machine,
    printed,
    review,
    squeezed,
)
from tests.reports.orders import NOW, asked, made

pytestmark = pytest.mark.django_db


# --- the condition report -------------------------------------------------------------
def test_the_printed_text_has_every_findings_value_limit_and_source(measured):
    report = made(measured)
    reader = Reader(family="METRIC", zone=NOW.tzinfo)

    text = printed(report)

    found = Finding.objects.exclude(grade=Grade.NOT_ASSESSED)
    assert found.count() > 15
    for finding in found:
        shown = findings.figures(finding, reader=reader)
        for said in (shown["value"], shown["limit"], finding.source):
            assert squeezed(said) in text, (finding, said)
        assert squeezed(words.topic(finding.topic).what) in text


def test_the_printed_text_has_every_gap_with_its_reason(measured):
    report = made(measured)

    text = printed(report)

    gaps = Finding.objects.filter(grade=Grade.NOT_ASSESSED)
    assert gaps.count() > 2
    for gap in gaps:
        why = reasons.stored(gap.said, gap.reason, reader=METRIC)
        assert squeezed(why) in text, gap


def test_readings_are_named_by_their_own_ids(measured):
    frozen = composed(measured, asked(measured))

    tables = frozen.machines[0].reading_matrices
    listed = " ".join(cell for t in tables for row in t.rows for cell in row)
    used = {pk for f in Finding.objects.all() for pk in f.readings}
    assert used
    for reading in Reading.objects.filter(pk__in=used):
        assert f"{reading.typed_value} {reading.typed_unit} (R{reading.pk})" in listed


def test_readings_stand_by_place_and_day_with_who_read_them(measured):
    tables = composed(measured, asked(measured)).machines[0].reading_matrices

    table = next(t for t in tables if t.title == "MH-1: clearance under the rope")
    headings = [column.heading for column in table.columns]
    assert headings[-1] == "4 May 2026"
    assert [row[0] for row in table.rows] == [f"groove {n}" for n in range(1, 6)]
    assert any(
        "north-tech read it, without a gauge being stated" in t.note for t in tables
    )


def test_page_one_answers_the_five_questions(measured):
    summary = composed(measured, asked(measured)).summary

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


def test_no_word_promises_anything(measured):
    text = printed(made(measured)).lower()

    assert len(text) > 1000
    assert [promise for promise in PROMISES if squeezed(promise) in text] == []


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
    measured, causes, language, said
):
    made(measured, language=language)
    Finding.objects.filter(current=True, topic="traction").update(grade="ACT_NOW")
    row = Assessment.objects.get()
    for cause in causes:
        row.pk, row.cause, row.grade = None, cause, "ACT_NOW"
        row.as_of = NOW + timedelta(days=1)
        row.save()

    later = composed(
        measured,
        asked(measured, period_end=date(2026, 7, 1), language=language),
        at=NOW + timedelta(days=3),
    )

    assert said in "\n".join(later.summary.answers[-1].paragraphs)


def test_work_done_stands_on_the_curves(measured):
    machine = factories.machine(measured.scope())
    Work.objects.create(
        contractor=measured.contractor,
        machine=machine,
        kind="LUBRICATION",
        done_on=date(2025, 9, 1),
    )

    frozen = composed(measured, asked(measured))

    events = [e.label for curve in frozen.machines[0].wear_curves for e in curve.events]
    assert "lubrication" in events


# --- the field sheet ------------------------------------------------------------------
def minutes_of(sheet):
    """Return the minutes of the steps; further kinds of one step take none."""
    return sum(int(s.time.split()[0]) for s in sheet.steps if s.time[0].isdigit())


def test_a_field_sheet_fits_its_time_and_begins_with_slip_and_brake(measured):
    for minutes in (5, 30, 120):
        sheet = composed(measured, of_machine(measured, "FIELD_SHEET", minutes=minutes))
        assert 0 < minutes_of(sheet) <= minutes
        assert sheet.time_budget.startswith(f"{minutes_of(sheet)} of {minutes} ")
        assert sheet.steps[0].what == "Slip seen"
        publishing_done(measured)


def test_a_field_sheet_lists_what_is_due_in_the_worklists_order(measured):
    machine = factories.machine(measured.scope())

    sheet = composed(measured, of_machine(measured, "FIELD_SHEET"))

    listed = worklist.worklist(
        scope=measured.scope(),
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


def test_what_takes_a_machine_out_of_service_stands_first_on_its_sheet(measured):
    Finding.objects.filter(topic="traction").update(stops_service=True)

    sheet = composed(measured, of_machine(measured, "FIELD_SHEET"))

    first = sheet.description[0]
    assert first.label == "Out of service"
    assert "until a competent person has decided" in first.value


def publishing_done(cast):
    """Let the next sheet of the same days be asked for."""
    from reports.models import Report

    Report.objects.update(state="CANCELLED")


def test_a_field_sheet_has_a_box_for_every_place_with_its_last_value(measured):
    sheet = composed(measured, of_machine(measured, ReportKind.FIELD_SHEET))

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


# --- the return-to-service record -----------------------------------------------------
def test_the_record_has_the_work_the_readings_the_tests_and_an_empty_acceptance(
    measured,
):
    machine = factories.machine(measured.scope())
    Work.objects.create(
        contractor=measured.contractor,
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
        measured,
        "RETURN_TO_SERVICE",
        period_start=date(2026, 5, 1),
        period_end=date(2026, 6, 1),
    )

    record = composed(measured, report)

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
def test_only_a_test_made_after_the_work_answers_what_is_asked(measured, day, is_told):
    Work.objects.create(
        contractor=measured.contractor,
        machine=factories.machine(measured.scope()),
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

    record = composed(measured, of_machine(measured, "RETURN_TO_SERVICE", **period))

    name = "Traction test, empty car up"
    results = {row[0]: row[1] for row in record.required.rows}
    assert results[name] == ("the ropes held" if is_told else "")
    assert (name in record.not_ready) is not is_told


def test_over_years_a_work_is_answered_by_what_was_read_after_it(measured):
    machine = factories.machine(measured.scope())
    for kind, done_on in (("ROPING", "2026-05-10"), ("LUBRICATION", "2026-07-01")):
        Work.objects.create(
            contractor=measured.contractor, machine=machine, kind=kind, done_on=done_on
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

    record = composed(measured, of_machine(measured, "RETURN_TO_SERVICE", **period))

    rows = [(row[0], row[1], row[3]) for row in record.required.rows]
    # What was tried again after it slid stands beside it; months later is no answer.
    assert [row[1:] for row in rows if "empty car up" in row[0]] == [
        ("the ropes slipped", "11 May 2026"),
        ("the ropes held", "14 May 2026"),
    ]
    assert [row[1:] for row in rows if "loaded car down" in row[0]] == [
        ("the ropes held", "11 May 2026")
    ]


def test_the_review_lists_what_is_overdue_the_latest_first(measured):
    rows = review(measured).overdue.rows

    assert [row[0].split()[0] for row in rows] == ["QC-1", "MH-1"] or [
        row[0].split()[0] for row in rows
    ] == ["MH-1", "QC-1"]
    measured = next(row for row in rows if row[0].startswith("MH-1"))
    assert measured[2:4] == ("4 May 2026", "4 May 2027")
    assert next(row for row in rows if row[0].startswith("QC-1"))[2] == "never"


def test_the_review_tells_hits_and_misses_of_the_forecasts(measured):
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

    frozen = review(measured)

    assert frozen.forecast_record.rows == (("rope diameter", "3", "2", "2", "1", "0"),)
    figures = {row.label: row.value for row in frozen.figures}
    assert figures["limits reached within the band of the forecast"] == "67 %"
