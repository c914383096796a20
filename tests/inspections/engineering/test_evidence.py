"""Wear does not heal: an earlier deep reading is bounded by later ones, never lost."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import combinations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspections.engineering.evidence import (
    BOUND_DEVIATIONS,
    Sighting,
    counts_as_mm,
    is_independent,
    worst_mm,
)
from inspections.engineering.validity import OutsideValidity

BEGUN = datetime(2030, 1, 1, tzinfo=UTC)


def sighting(value, *, day, visit=None, person=None, gauge=None, sd=0.1, mark=""):
    return Sighting(
        value_mm=value,
        sd_mm=sd,
        taken_at=BEGUN + timedelta(days=day),
        visit=day if visit is None else visit,
        person=person,
        gauge=gauge,
        mark=mark,
    )


def others(*values, first_day=100, **given):
    """Return later readings by somebody else with another gauge."""
    given = {"person": 2, "gauge": 2} | given
    return [
        sighting(value, day=first_day + 10 * n, **given)
        for n, value in enumerate(values)
    ]


DEEP = sighting(1.9, day=0, person=1, gauge=1)

# Drawing many dates is slow on a busy machine, and no fault of what is drawn.
drawn = settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)

SIGHTINGS = st.lists(
    st.builds(
        sighting,
        st.floats(-1.0, 20.0),
        day=st.integers(0, 12),
        visit=st.integers(0, 8),
        person=st.sampled_from([None, 1, 2, 3]),
        gauge=st.sampled_from([None, 1, 2, 3]),
        sd=st.floats(0.0, 0.5),
        mark=st.sampled_from(["", "a"]),
    ),
    min_size=1,
    max_size=10,
)


def bound_of(one, sightings):
    """Return the least level that two later readings of two visits both allow."""
    later = [o for o in sightings if is_independent(earlier=one, later=o)]
    pairs = [
        max(a.value_mm + BOUND_DEVIATIONS * a.sd_mm, b.value_mm + 2.0 * b.sd_mm)
        for a, b in combinations(later, 2)
        if a.visit != b.visit
    ]
    return min(pairs, default=float("inf"))


def test_deep_reading_counts_in_full_until_two_later_ones_bound_it():
    assert counts_as_mm(sightings=[DEEP])[0] == 1.9
    assert counts_as_mm(sightings=[DEEP, *others(1.0)])[0] == 1.9
    found = counts_as_mm(sightings=[DEEP, *others(1.0, 1.1)])
    assert found == [pytest.approx(1.3), 1.0, 1.1]
    # a third, deeper one bounds no further
    found = counts_as_mm(sightings=[DEEP, *others(1.0, 1.1, 1.2)])
    assert found[0] == pytest.approx(1.3)


@pytest.mark.parametrize(
    "given",
    [
        {"person": 1},
        {"person": None},
        {"gauge": 1},
        {"gauge": None},
        {"mark": "other"},
        {"first_day": -100},
        {"visit": 0},
        {"visit": 7},
    ],
)
def test_readings_that_are_not_independent_bound_nothing(given):
    assert counts_as_mm(sightings=[DEEP, *others(1.0, 1.1, **given)])[0] == 1.9


def test_what_is_only_known_to_be_passed_bounds_nothing_and_is_bounded():
    later = others(1.1, 1.2)
    passed = [replace(each, at_least=True) for each in later]

    assert counts_as_mm(sightings=[DEEP, *passed])[0] == DEEP.value_mm
    deep = replace(DEEP, at_least=True)
    assert counts_as_mm(sightings=[deep, *later])[0] == pytest.approx(1.4)


def test_poor_gauge_bounds_less():
    found = counts_as_mm(sightings=[DEEP, *others(1.0, 1.1, sd=0.3)])

    assert found[0] == pytest.approx(1.7)


def test_several_bad_strays_are_each_bounded_and_none_is_dropped():
    strays = [DEEP, sighting(1.7, day=5, person=1, gauge=1)]

    found = counts_as_mm(sightings=[*strays, *others(1.0, 1.1)])

    assert found[:2] == [pytest.approx(1.3), pytest.approx(1.3)]
    assert worst_mm(sightings=[*strays, *others(1.0, 1.1)]) == pytest.approx(1.3)


def test_falling_values_are_mirrored():
    rising = [DEEP, *others(1.0, 1.1)]
    falling = [
        Sighting(
            value_mm=13.0 - one.value_mm,
            sd_mm=one.sd_mm,
            taken_at=one.taken_at,
            visit=one.visit,
            person=one.person,
            gauge=one.gauge,
        )
        for one in rising
    ]

    found = counts_as_mm(sightings=falling, falls=True)

    assert found == pytest.approx([13.0 - v for v in counts_as_mm(sightings=rising)])
    assert worst_mm(sightings=falling, falls=True) == pytest.approx(11.7)


def test_values_that_are_no_number_are_refused():
    with pytest.raises(OutsideValidity):
        sighting(float("nan"), day=1)
    with pytest.raises(OutsideValidity):
        sighting(1.0, day=1, sd=-0.1)
    with pytest.raises(ValueError, match="empty"):
        worst_mm(sightings=[])


@drawn
@given(SIGHTINGS)
def test_each_counts_as_the_least_of_itself_and_its_bound(sightings):
    found = counts_as_mm(sightings=sightings)

    for one, counted in zip(sightings, found, strict=True):
        assert counted == min(one.value_mm, bound_of(one, sightings))


@drawn
@given(SIGHTINGS, st.data())
def test_worse_reading_never_makes_any_count_for_less(sightings, data):
    at = data.draw(st.integers(0, len(sightings) - 1))
    by = data.draw(st.floats(0.0, 10.0))
    one = sightings[at]
    deeper = sighting(
        one.value_mm + by,
        day=(one.taken_at - BEGUN).days,
        visit=one.visit,
        person=one.person,
        gauge=one.gauge,
        sd=one.sd_mm,
        mark=one.mark,
    )

    before = counts_as_mm(sightings=sightings)
    after = counts_as_mm(sightings=[*sightings[:at], deeper, *sightings[at + 1 :]])

    assert all(b >= a for a, b in zip(before, after, strict=True))


@drawn
@given(SIGHTINGS, st.data())
def test_good_reading_that_is_lost_never_makes_any_count_for_less(sightings, data):
    """Less knowledge: what is left counts for as much as before, or for more."""
    at = data.draw(st.integers(0, len(sightings) - 1))
    rest = [*sightings[:at], *sightings[at + 1 :]]

    before = counts_as_mm(sightings=sightings)
    after = counts_as_mm(sightings=rest)

    assert all(
        b >= a for a, b in zip([*before[:at], *before[at + 1 :]], after, strict=True)
    )
