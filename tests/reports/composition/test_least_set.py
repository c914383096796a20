"""What keeps a machine from being known stands before any date."""

from dataclasses import replace
from datetime import UTC, date, datetime
from types import SimpleNamespace as Row

import pytest
from django.utils import translation

from fleet.models import Work
from inspections.models import (
    Finding,
    Forecast,
    ForecastState,
    Grade,
    Reading,
    ReadingState,
)
from inspections.reasons import Topic
from reports import content
from reports.composition import (
    changes,
    checks,
    decisions,
    findings,
    front,
    graded,
    in_brief,
    least_set,
    lifts,
    machine,
    readings,
)
from reports.composition.decided import advice, remarks
from reports.composition.decided.advice import Advice, AdvisedWork
from reports.composition.reader import Reader
from tests.reports import sample_machines

METRIC = Reader(family="METRIC", zone=UTC)
TODAY = date(2026, 11, 30)
OLD = {
    "check": "crack",
    "place": "crack",
    "why": "TOO_OLD",
    "months": 12,
    "last_on": "2025-09-28",
}


@pytest.fixture(autouse=True)
def english():
    with translation.override("en"):
        yield


NEAR = Forecast(
    quantity="counterweight_runby",
    plan_before_on=date(2027, 6, 23),
    p02_on=date(2027, 6, 23),
    p10_on=date(2027, 8, 24),
    limit_reason="COUNTERWEIGHT_RUNBY",
    state=ForecastState.ESTABLISHED,
)


def facts(*found, missed=(), grade=Grade.IN_ORDER, forecasts=(), works=()):
    return Row(
        machine=Row(code="M-1", name="Lift"),
        findings=found,
        stops=(),
        planned=(),
        held=(),
        answers=(),
        options=None,
        forecasts=forecasts,
        assessment=Row(grade=grade, checks={"missed": list(missed)}),
        snapshot=Row(
            readings=[Row(taken_at=datetime(2026, 9, 27, tzinfo=UTC))],
            works=list(works),
        ),
    )


def finding(topic=Topic.TRACTION, grade=Grade.IN_ORDER, margin=0.2):
    return Finding(topic=topic, grade=grade, margin=margin)


TENSION = finding(Topic.ROPE_TENSION, Grade.IN_ORDER, margin=-0.9)


def says_most(one):
    [line] = lifts.lifts([one], reader=METRIC, today=TODAY)
    return line.says_most


def test_a_check_that_is_too_old_stands_with_its_day_on_page_one_and_in_the_annex():
    one = facts(finding(), missed=[OLD], grade=Grade.NOT_ASSESSED)

    told = "last made on 28 Sep 2025, asked for every 12 months"
    assert says_most(one) == f"crack: {told}"
    assert [row.reason for row in least_set.rows(one, reader=METRIC)] == [
        f"not known without it: {told}"
    ]
    assert told in in_brief.summary(one, reader=METRIC, today=TODAY)


def test_checks_alike_in_several_places_are_one():
    places = ({**OLD, "check": "rope_diameter", "place": f"rope {n}"} for n in (1, 2))

    [told] = least_set.missed(facts(missed=places), reader=METRIC)

    assert told.startswith("rope diameter (rope 1, 2): last made on")


def test_checks_that_lack_for_one_reason_are_told_together():
    found = facts(missed=[OLD, {**OLD, "check": "hub", "place": "hub"}])

    [row] = least_set.rows(found, reader=METRIC)

    assert row.what == "Least set of checks: crack, hub"


def test_a_check_that_was_not_made_in_time_makes_the_headline():
    one = facts(finding(), missed=[OLD], grade=Grade.NOT_ASSESSED)

    said = front.summary(
        [one], reader=METRIC, today=TODAY, matters={}, changes=(), followed=(), call=""
    )

    assert "Not known for a check that was not made in time: M-1." in said.headline
    [unmade] = [a for a in said.answers if a.question == "Which checks were not made?"]
    assert unmade.paragraphs[0].startswith("M-1: crack: last made on 28 Sep 2025")


def test_little_knowledge_stands_before_what_was_read_and_before_any_date():
    due = Forecast(
        plan_before_on=date(2028, 5, 20), p10_on=date(2029, 11, 9), limit_reason="wear"
    )
    unmade = [finding(t, Grade.NOT_ASSESSED) for t in (Topic.TRACTION, Topic.PRESSURE)]
    one = facts(finding(Topic.ROPE_DIAMETER), *unmade, forecasts=[due])

    said = "2 of 3 checks not made, traction among them"
    assert says_most(one).startswith(said)
    summary = in_brief.summary(one, reader=METRIC, today=TODAY)
    assert summary.startswith(f"Little is known: {said}.")
    assert "No reading lies beyond a limit" not in summary


def test_a_value_beyond_by_less_than_the_gauge_can_tell_is_no_nothing_found():
    one = facts(finding(), TENSION)

    assert findings.is_within_scatter(TENSION)
    assert graded.past(one) == []
    assert checks._grade(TENSION) == "beyond by less than the gauge can tell"
    summary = in_brief.summary(one, reader=METRIC, today=TODAY)
    assert "by less than the gauge can tell: How evenly the ropes carry." in summary
    assert "No reading lies beyond" not in summary


def test_page_one_never_says_nothing_is_beyond_where_a_value_may_be():
    said = front.summary(
        [facts(finding(), TENSION)],
        reader=METRIC,
        today=TODAY,
        matters={},
        changes=(),
        followed=(),
        call="",
    )

    [beyond] = [a for a in said.answers if a.question.startswith("Was anything")]
    assert beyond.paragraphs == (
        "M-1: How evenly the ropes carry; beyond by less than the gauge can tell.",
    )


def test_no_grade_that_asks_is_within_the_scatter_of_a_gauge():
    for grade in findings.ASKING:
        assert not findings.is_within_scatter(
            finding(Topic.ROPE_TENSION, grade, margin=-0.9)
        )


def test_what_is_near_says_more_than_what_is_only_watched():
    watched = finding(Topic.DRYNESS, Grade.KEEP_AN_EYE_ON, margin=-1.0)

    said = says_most(facts(finding(), watched, forecasts=[NEAR]))

    assert said.startswith("first limit ahead:")
    assert says_most(facts(finding(), watched)) == "Dry rope"


def test_a_limit_that_comes_near_is_told_beside_what_was_found():
    slipped = finding(Topic.ROPE_SLIP, Grade.ACT_NOW, margin=None)

    told = decisions.matters_of(
        facts(slipped, forecasts=[NEAR]), reader=METRIC, today=TODAY
    )

    assert [one.printed.plan_before for one in told] == ["now", "23 Jun 2027"]
    assert [one.printed.asks for one in told] == ["rope slip", "counterweight run-by"]


def test_what_nobody_advises_is_no_matter_that_names_a_work(monkeypatch):
    first = Advice(
        kind="RE_ROPE", words="nothing advised yet; first that answers it", is_open=True
    )
    monkeypatch.setattr(decisions.advice, "on", lambda *_args, **_named: first)
    thin = finding(Topic.ROPE_DIAMETER, Grade.PLAN_WORK, margin=-0.1)

    [open_one] = decisions.matters_of(facts(thin), reader=METRIC, today=TODAY)
    assert open_one.printed.matter == "Rope diameter"

    first = replace(first, is_open=False)
    [chosen] = decisions.matters_of(facts(thin), reader=METRIC, today=TODAY)
    assert chosen.printed.matter == "Renew the whole rope set"


def test_a_total_never_looks_whole_that_is_not():
    ropes = AdvisedWork(
        code="M-1",
        kind="RE_ROPE",
        cost={"currency": "EUR", "low": 100.0, "mid": 150.0, "high": 200.0},
        order_by_on=None,
    )

    told = advice.total([], undecided=[ropes], unpriced=["M-2"])

    assert told == ("Together: EUR 100 to 200 (M-1). Not in it, as not estimated: M-2.")
    assert advice.total([], undecided=[], unpriced=["M-2"]) == ""
    # Of a machine that is in the sum another matter is meant.
    told = advice.total([], undecided=[ropes], unpriced=["M-1"])
    assert told.endswith("Not in it, as not estimated: another matter of M-1.")


def test_the_limit_that_a_grade_is_from_stands_among_the_findings():
    one = facts(finding(), forecasts=[NEAR])

    [raised] = machine._raised_by(one, reader=METRIC, today=TODAY)

    assert raised.grade == graded.grade_of(one, today=TODAY) == Grade.PLAN_WORK
    assert raised.value == "plan work before: 23 Jun 2027"
    urgent = facts(finding(grade=Grade.PLAN_WORK), forecasts=[NEAR])
    assert machine._raised_by(urgent, reader=METRIC, today=TODAY) == ()


def test_a_source_stands_once_under_the_checks_of_all_machines():
    def checked(*topics, source):
        found = [finding(topic) for topic in topics]
        for each in found:
            each.source, each.how_sure = source, "confirmed"
        one = facts(*found)
        one.readings = {}
        return checks.table(one, title="M-1", reader=METRIC, sources=numbered)

    numbered = checks.Sources()
    first = checked(Topic.PRESSURE, Topic.ROUGE, source="ISO 4344")
    second = checked(Topic.TRACTION, source="EN 81-50")
    third = checked(Topic.PRESSURE, source="ISO 4344")

    tables = (first, second, third)
    assert [{row[-1] for row in t.rows} for t in tables] == [{"[1]"}, {"[2]"}, {"[1]"}]
    pages = [
        replace(sample_machines.bare_machine(), checks=each)
        for each in (first, None, third)
    ]
    noted = checks.under_the_last(pages, numbered)
    assert "under the last table" in noted[0].checks.note
    assert noted[1].checks is None
    assert noted[2].checks.note.count("[1] ISO 4344 (confirmed)") == 1
    assert noted[2].checks.note.count("[2] EN 81-50 (confirmed)") == 1


def test_machines_are_read_by_urgency_and_unknown_stands_before_monitor():
    order = [
        Grade.PLAN_WORK,
        Grade.IN_ORDER,
        Grade.NOT_ASSESSED,
        Grade.KEEP_AN_EYE_ON,
        Grade.ACT_NOW,
    ]
    machines = [facts(grade=grade) for grade in order]
    stopped = facts(grade=Grade.IN_ORDER)
    stopped.stops = (object(),)

    sorted_ = lifts.by_urgency([*machines, stopped], today=TODAY)

    assert sorted_[0] is stopped
    read = [content.PrintedGrade(one.assessment.grade) for one in sorted_[1:]]
    assert read == list(content.MOST_URGENT_FIRST)


def test_beyond_two_years_a_month_is_said_and_no_day():
    assert METRIC.roughly(date(2028, 11, 29), today=TODAY) == "29 Nov 2028"
    assert METRIC.roughly(date(2028, 12, 30), today=TODAY) == "Dec 2028"


def test_the_remark_at_the_last_work_of_a_kind_stands_beside_its_advice():
    works = [
        Work(pk=1, kind="SHORTENING", done_on=date(2020, 1, 1), note="Plenty left."),
        Work(
            pk=2, kind="SHORTENING", done_on=date(2024, 6, 21), note="No thread left."
        ),
        Work(pk=3, kind="ROPING", done_on=date(2025, 1, 1), note="Other."),
    ]

    said = remarks.at_last("SHORTEN", works, reader=METRIC)

    assert said == "remark at the last one (21 Jun 2024): “No thread left”"
    assert remarks.at_last("LUBRICATE", works, reader=METRIC) == ""
    assert remarks.at_last("SHORTEN", works[:1] * 0, reader=METRIC) == ""


def test_a_held_reading_is_named_with_its_value_and_is_not_used():
    one = facts(finding())
    one.held = [
        Reading(
            pk=7216,
            kind="rope_diameter",
            place={"direction": "1"},
            typed_value="128.9",
            typed_unit="mm",
            state=ReadingState.HELD,
        )
    ]

    summary = in_brief.summary(one, reader=METRIC, today=TODAY)

    assert "Held back and not used until somebody confirms it: rope diameter" in summary
    assert "128.9 mm (R7216)." in summary
    assert "ropes held" not in summary
    assert readings.told(one.held[0]) == "128.9 mm (R7216, held back, not used)"


def test_a_machine_that_nobody_read_in_the_period_is_named_with_its_newest_reading():
    quarter = Row(period_start=date(2026, 10, 1), period_end=date(2027, 1, 1))
    read = facts(finding())
    read.machine = Row(code="M-2")
    taken = datetime(2026, 11, 2, tzinfo=UTC)
    read.snapshot.readings = [Row(taken_at=taken, visit_id=1)]
    quiet = facts(finding())
    quiet.snapshot.readings[0].visit_id = 2

    told = changes.state(
        report=quarter, facts=[quiet, read], reader=METRIC, today=TODAY
    )

    assert told[1].text == (
        "No visit in this period; newest reading: M-1 (27 Sep 2026)."
    )


def test_one_wire_is_not_wires():
    assert METRIC.quantity(1.0, "wires") == "1 wire"
    assert METRIC.quantity(0.0, "wires") == "0 wires"
    assert METRIC.quantity(1.04, "mm") == "1.04 mm"
