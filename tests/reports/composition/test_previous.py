"""What the last report asked for: done, answered, open, or not known any more."""

from datetime import UTC, date, datetime
from types import SimpleNamespace as Row

import pytest
from django.utils import translation

from fleet.models import Work
from inspections.models import Finding, Grade, PlannedWork, PlanState, Release, Stop
from inspections.reasons import Topic
from reports import content
from reports.composition import previous
from reports.composition.reader import Reader
from reports.queries import Answered

ISSUED = datetime(2026, 3, 2, 23, 30, tzinfo=UTC)
METRIC = Reader(family="METRIC", zone=UTC)
MATTER = "Renew the whole rope set"


@pytest.fixture(autouse=True)
def english():
    with translation.override("en"):
        yield


def asked(**changes):
    whole = {
        "machine": "M-1",
        "matter": MATTER,
        "plan_before": "",
        "chance": "",
        "cost": "",
        "asks": str(Topic.ROPE_DIAMETER),
        "work": "RE_ROPE",
    }
    return content.Decision(**(whole | changes))


def last(*decisions, stood=()):
    blocks = tuple(Row(code=code) for code in stood)
    report = Row(summary=Row(decisions=decisions), out_of_service=blocks)
    return previous.LastReport(number="CR-1", issued_at=ISSUED, content=report)


def machine(*, works=(), findings=(), answers=(), planned=(), stops=()):
    return Row(
        machine=Row(code="M-1"),
        snapshot=Row(works=list(works)),
        findings=findings,
        answers=answers,
        planned=planned,
        stops=stops,
    )


def finding(grade, topic=Topic.ROPE_DIAMETER):
    return Finding(topic=topic, grade=grade)


def told(report, facts, *, now=(), ended=()):
    matters = {"M-1": [Row(printed=one) for one in now]}
    found = previous.followed(
        report, facts, matters=matters, ended=ended, reader=METRIC
    )
    return [line.text for line in found]


def work(kind="ROPING", day=date(2026, 3, 9)):
    return Work(pk=1, kind=kind, done_on=day)


def test_work_that_was_done_is_at_its_end_with_its_day():
    facts = machine(works=[work()], findings=[finding(Grade.IN_ORDER)])

    assert told(last(asked()), [facts]) == [
        f"M-1: {MATTER} (re-rope) – re-roping on 9 Mar 2026; nothing asks for it now."
    ]


def test_work_that_was_done_and_is_asked_for_again_says_so():
    facts = machine(works=[work()], findings=[finding(Grade.ACT_NOW)])

    [line] = told(last(asked()), [facts])

    assert line.endswith("re-roping on 9 Mar 2026; asked for again.")


def test_work_of_before_the_last_report_ends_nothing():
    earlier = work(day=date(2026, 3, 1))
    facts = machine(works=[earlier], findings=[finding(Grade.PLAN_WORK)])

    [line] = told(last(asked()), [facts])

    assert line.endswith("– nobody has answered; still open.")


def test_an_answer_alone_leaves_it_open():
    answer = Answered(
        kind="RE_ROPE", words="agrees", by="A. Owner", at=ISSUED.replace(day=5)
    )
    facts = machine(answers=[answer], findings=[finding(Grade.PLAN_WORK)])

    [line] = told(last(asked()), [facts])

    assert "the owner's answer of 5 Mar 2026: agrees (A. Owner); still open." in line
    assert "nobody" not in line


def test_an_answer_that_the_last_report_had_already_is_no_news():
    answer = Answered(
        kind="RE_ROPE", words="agrees", by="A. Owner", at=ISSUED.replace(day=1)
    )
    facts = machine(answers=[answer], findings=[finding(Grade.PLAN_WORK)])

    assert "agrees" not in told(last(asked()), [facts])[0]


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (PlanState.PLANNED, "planned, not ordered yet (before 1 Jul 2026)"),
        (PlanState.ORDERED, "ordered, not done yet (before 1 Jul 2026)"),
    ],
)
def test_planned_work_is_open_until_it_is_done(state, words):
    row = PlannedWork(kind="RE_ROPE", state=state, due_before_on=date(2026, 7, 1))
    facts = machine(planned=[row], findings=[finding(Grade.PLAN_WORK)])

    assert told(last(asked()), [facts])[0].endswith(f"– {words}; still open.")


@pytest.mark.parametrize("findings", [(), (finding(Grade.NOT_ASSESSED),)])
def test_what_is_not_read_any_more_is_not_at_its_end(findings):
    facts = machine(findings=findings)

    [line] = told(last(asked()), [facts])

    assert "not known any more: its check was not made" in line
    assert "nothing asks" not in line


def test_what_asks_for_nothing_without_work_says_that_no_work_was_reported():
    facts = machine(findings=[finding(Grade.IN_ORDER)])

    assert "no work was reported; by what was read" in told(last(asked()), [facts])[0]


def test_a_matter_of_the_same_words_is_still_open_whatever_finding_asks():
    facts = machine(findings=[finding(Grade.IN_ORDER)])

    [line] = told(last(asked()), [facts], now=[asked(asks=str(Topic.BROKEN_WIRES))])

    assert line.endswith("still open.")


def test_a_matter_of_an_earlier_version_is_never_said_to_be_at_its_end():
    facts = machine(findings=[finding(Grade.IN_ORDER)])

    [line] = told(last(asked(asks="", work="")), [facts])

    assert line == f"M-1: {MATTER} – of an earlier version: see what is asked for now."


def test_a_machine_that_left_the_report_is_named():
    assert told(last(asked()), []) == [
        f"M-1: {MATTER} (re-rope) – the machine is no longer in this report."
    ]


def test_a_machine_that_stood_and_still_stands_says_so():
    facts = machine(stops=[object()])

    assert told(last(stood=["M-1"]), [facts]) == [
        "M-1: out of service – still out of service."
    ]


def test_a_stop_that_ended_says_when_and_how():
    over = Stop(
        cause="FASTENING_DEFECT",
        released_at=datetime(2026, 3, 12, 9, 0, tzinfo=UTC),
        release=Release.REFUTED,
    )
    over.machine = None
    ended = [Row(**{n: getattr(over, n) for n in ("cause", "released_at", "place")})]
    ended[0].machine = Row(code="M-1")
    ended[0].get_cause_display = over.get_cause_display
    ended[0].get_release_display = over.get_release_display

    [line] = told(last(stood=["M-1"]), [machine()], ended=ended)

    assert line == (
        "M-1: out of service – a rope fastening has a defect: ended on 12 Mar 2026 "
        "(refuted with a reason)."
    )
