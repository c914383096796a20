"""What counts as looking better, told by hand."""

from dataclasses import replace
from datetime import date
from random import Random

import pytest

from inspections.kinds import KINDS
from inspections.reasons import Topic
from tests.histories import drawing, promises, state, worse
from tests.histories.changes import (
    HEALED,
    LESS_REGISTER,
    WORSE,
    WORSE_REGISTER,
    Change,
)
from tests.histories.state import BEYOND, OPEN, STATES, WITHIN, Standing
from tests.histories.steps import Row, Visit

DEEP = Row(slot=3, kind="bottom_clearance", groove=2, value=0.4)
WORSE_DEEP = Change(sort=WORSE, said="deeper", step=2, row=DEEP, rows=(DEEP,))
PLACE = ("traction", "groove 2")


def standing(verdict, *, is_in="plan work", day=None, stops=()):
    dates = {("seat_depth", "groove 2"): day} if day else {}
    return Standing(
        verdicts={PLACE: verdict},
        state=STATES.index(is_in),
        stops=set(stops),
        dates=dates,
    )


def told(change, own, twin, *, step=2):
    found = promises.of_twin(change=change, step=step, own=own, twin=twin)
    return [(each.promise, each.before, each.after) for each in found]


@pytest.mark.parametrize("before", [BEYOND, OPEN])
def test_a_worse_reading_that_ends_within_is_told(before):
    found = told(WORSE_DEEP, standing(before), standing(WITHIN))

    assert found == [("P1 worse", before, WITHIN)]


def test_a_worse_reading_that_stays_or_gets_worse_is_not_told():
    assert told(WORSE_DEEP, standing(OPEN), standing(BEYOND, is_in="act now")) == []
    assert told(WORSE_DEEP, standing(OPEN), standing(OPEN)) == []


def test_a_state_that_gets_better_is_told():
    twin = standing(BEYOND, is_in="monitor")

    assert ("P1 worse", "plan work", "monitor") in told(
        WORSE_DEEP, standing(BEYOND), twin
    )


def test_a_stop_that_is_missing_is_told():
    own = standing(BEYOND, stops=[("TRACTION", "groove 2")])

    assert told(WORSE_DEEP, own, standing(BEYOND)) == [
        ("P1 worse", "stopped", "no stop")
    ]


def test_a_later_date_is_told_beyond_a_day():
    own = standing(OPEN, day=date(2027, 1, 1))

    assert told(WORSE_DEEP, own, standing(OPEN, day=date(2027, 1, 2))) == []
    assert told(WORSE_DEEP, own, standing(OPEN, day=date(2027, 1, 3))) == [
        ("P1 date", "2027-01-01", "2027-01-03")
    ]


def test_a_date_may_vanish_only_where_the_state_is_worse():
    own = standing(OPEN, day=date(2027, 1, 1))

    assert told(WORSE_DEEP, own, standing(OPEN)) == [
        ("P1 date", "2027-01-01", "no date")
    ]
    assert told(WORSE_DEEP, own, standing(OPEN, is_in="act now")) == []


def test_a_worse_register_moves_no_date_later():
    change = Change(sort=WORSE_REGISTER, said="brakes harder")
    own = standing(OPEN, day=date(2027, 1, 1))
    later = standing(OPEN, day=date(2028, 1, 1))

    assert told(change, own, later) == [("P1 date", "2027-01-01", "2028-01-01")]
    assert told(change, own, own) == []


def test_dates_are_promised_of_the_latest_reading_only():
    own = standing(OPEN, day=date(2027, 1, 1))

    assert told(WORSE_DEEP, own, standing(OPEN), step=3) == []


def test_less_knowledge_may_open_what_was_beyond_and_close_nothing():
    less = Change(sort=LESS_REGISTER, said="no mass")

    assert told(less, standing(BEYOND), standing(OPEN, is_in="not known")) == []
    assert told(less, standing(OPEN), standing(WITHIN)) == [
        ("P2 less register", OPEN, WITHIN)
    ]


def test_words_neither_end_what_was_beyond_nor_leave_it_out():
    said = Change(sort=HEALED, said="not seen", step=2, row=DEEP)
    silent = replace(standing(BEYOND), verdicts={})

    assert told(said, standing(BEYOND), standing(WITHIN)) == [
        ("P3 healed by words", BEYOND, WITHIN)
    ]
    assert told(said, standing(BEYOND), silent) == [
        ("P3 healed by words", BEYOND, "not told")
    ]


def test_a_twin_differs_at_its_step_only():
    visit = Visit(rows=(replace(DEEP, value=2.0), replace(DEEP, slot=4)))

    [same] = WORSE_DEEP.applied(1, visit)
    [differing] = WORSE_DEEP.applied(2, visit)

    assert same == visit
    assert {row.slot: row.value for row in differing.rows} == {3: 0.4, 4: 0.4}


def test_a_finding_of_several_places_is_told_of_each():
    assert state.places("groove 1, 2, 4") == ["groove 1", "groove 2", "groove 4"]
    assert state.places("groove 1 and 5") == ["groove 1 and 5"]
    assert state.places("") == [""]


def test_every_criterion_that_is_promised_for_is_one_of_the_service():
    topics = {str(topic) for topic in Topic}

    promised = {t for rule in worse.ALL.values() for t in rule.topics}
    assert promised | set(worse.JUDGED.values()) <= topics
    assert {*worse.ALL, *worse.JUDGED} <= set(KINDS)


def test_a_tension_is_worse_further_out_than_all_beside_it():
    rows = [
        Row(slot=n, kind="rope_tension", rope=n, value=value, unit="N")
        for n, value in enumerate((3000.0, 3100.0, 2900.0))
    ]

    for seed in range(9):
        row = drawing.worsened(Random(seed), rows, kinds={"rope_tension": 1})
        assert not 2900.0 <= row.value <= 3100.0
        assert row.slot == (1 if row.value > 3100.0 else 2)
