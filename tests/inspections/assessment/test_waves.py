"""Forces by wave time: in newtons where the length is noted, against the masses."""

from math import sqrt

import pytest

from inspections.engineering import suspension, tensions
from inspections.inputs import suspension_of
from inspections.models import Grade
from inspections.reasons import Topic
from tests.inspections.assessment.snapshots import found, one, snapshot, take

LENGTH_M = 28.0
RETURNS = 10


def times(of, *, side="car", position="bottom", factor=1.0, ropes=5, **place):
    """Return the readings of ropes that carry `factor` of what the masses say."""
    hung = suspension_of(of)
    height_m = {"bottom": 0.0, "top": hung.travel_m}[position]
    both = tensions.rope_forces_n(
        suspension=hung, car_load_kg=0.0, car_height_m=height_m, acceleration_m_s2=0.0
    )
    upper_n = factor * both[side == "counterweight"] / hung.rope_count
    mass = hung.rope_mass_kg_per_m
    # The wave runs with sqrt(T/m); the mean force is that of the middle.
    mean_n = upper_n - mass * 9.81 * LENGTH_M / 2.0
    time_s = 2.0 * RETURNS * LENGTH_M / sqrt(mean_n / mass)
    return [
        take(
            "wave_time",
            time_s,
            rope=n,
            side=side,
            car_position=position,
            **({"length_m": LENGTH_M} | place),
        )
        for n in range(1, ropes + 1)
    ]


def against_masses(*readings, **machine):
    return [
        draft
        for draft in found(snapshot(*readings, machine=machine), Topic.REGISTER)
        if draft.place
    ]


@pytest.mark.parametrize("side", ["car", "counterweight"])
@pytest.mark.parametrize("position", ["bottom", "top"])
def test_ropes_that_carry_what_the_masses_say_are_not_told(side, position):
    read = times(snapshot(), side=side, position=position)

    assert against_masses(*read) == []


@pytest.mark.parametrize("side", ["car", "counterweight"])
@pytest.mark.parametrize("factor", [0.5, 1.6])
def test_ropes_that_carry_otherwise_ask_to_check_the_register(side, factor):
    (draft,) = against_masses(*times(snapshot(), side=side, factor=factor))

    assert (draft.grade, draft.place) == (Grade.KEEP_AN_EYE_ON, f"{side} at the bottom")
    assert draft.margin < 0.0
    assert "masses in the register" in str(draft.reason)
    assert len(draft.readings) == 5


def test_a_disagreement_within_the_uncertainty_is_none():
    assert against_masses(*times(snapshot(), factor=1.05)) == []


def test_without_every_rope_or_its_length_nothing_is_held_against_the_masses():
    of = snapshot()

    assert against_masses(*times(of, factor=1.6, ropes=4)) == []
    assert against_masses(*times(of, factor=1.6, length_m=None)) == []


def test_a_registered_length_stands_where_none_was_noted():
    read = times(snapshot(), factor=1.6, length_m=None)
    of = snapshot(*read, rope_set={"measured_length_m": LENGTH_M})

    assert [d.place for d in found(of, Topic.REGISTER) if d.place]


def test_times_are_worked_out_to_newtons_with_their_deviation():
    read = times(snapshot())
    draft = one(snapshot(*read), Topic.ROPE_TENSION)

    hung = suspension_of(snapshot())
    car_n, _ = tensions.rope_forces_n(
        suspension=hung, car_load_kg=0.0, car_height_m=0.0, acceleration_m_s2=0.0
    )
    forces = draft.detail["forces_by_wave"]
    assert [each["upper_n"] for each in forces] == pytest.approx([car_n / 5] * 5, 0.01)
    assert all(0.02 < each["sd_n"] / each["upper_n"] < 0.1 for each in forces)
    assert suspension.usual_spread(suspension=hung).car_mass_kg == 60.0
