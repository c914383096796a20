"""What few machines have is worked out line by line too, never by a made-up value."""

from dataclasses import replace
from functools import cache

import pytest
from django.utils import translation

from inspections import worked
from inspections.reasons import Topic
from inspections.worked import formula, words
from tests.inspections.assessment import test_recompute as machines
from tests.inspections.assessment.snapshots import diameters, snapshot, take, worn
from tests.inspections.worked.told import told_of

FURTHER = (
    *(Topic.SEAT_FIT, Topic.CREEP, Topic.PAIR, Topic.NEXT_CUT),
    *(Topic.DRYNESS, Topic.WETNESS, Topic.TWIST),
)


def dry():
    return snapshot(
        *diameters(),
        take("lubrication", word="dry", rope=1),
        take("lubrication", word="wet", rope=2),
        take("twist", word="seen", rope=3),
    )


def gauged():
    return snapshot(
        *worn(2.0), take("seat_gauge_fit", 7.1, groove=1, fit="go"), geometry=None
    )


@cache
def told():
    """Return the findings of the topics, with the metal that stands beside a cut."""
    made = [make() for make in machines.MACHINES]
    return [
        each
        for of in (*made, dry(), gauged())
        for each in told_of(of)
        if each.topic in FURTHER
    ]


@pytest.mark.parametrize("topic", FURTHER)
def test_a_topic_is_worked_out_and_a_value_that_is_not_its_own_is_refused(topic):
    own = [each for each in told() if each.topic == topic]

    assert own
    for each in own:
        other = replace(each, value=each.value * 1.01 + 0.003)
        assert worked.of(each).is_whole
        assert not worked.of(other).is_whole


def test_the_printed_numbers_give_the_printed_results():
    lines = [line for each in told() for p in worked.of(each).parts for line in p.lines]

    for line in lines:
        given = {
            number.symbol: float(formula.printed(number.value, line.digits))
            for number in line.numbers
        }
        found = formula.evaluate(line.formula, given)
        assert formula.printed(found, 4) == formula.printed(line.value, 4)
    assert {line.symbol for line in lines} >= {"x", "L", "p", "m"}


def test_each_number_has_words_in_both_languages():
    names = {
        name
        for each in told()
        for part in worked.of(each).parts
        for line in part.lines
        for name in (line.name, *(n.name for n in line.numbers))
    }

    assert names <= set(words.NAMES)
    with translation.override("de"):
        assert [n for n in names if words.said(words.NAMES[n]) == words.NAMES[n]] == []


def test_without_the_metal_beside_it_a_cut_is_not_said_to_be_worked_out():
    [cut, *_] = [each for each in told() if each.topic == Topic.NEXT_CUT]

    assert not worked.of(replace(cut, metal=())).is_whole
