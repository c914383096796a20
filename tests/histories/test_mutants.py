"""Each fault, put back, makes a case made by hand look better."""

from datetime import timedelta
from unittest.mock import patch

import pytest

from inspections import inputs
from inspections.assessment import assessing
from tests.histories.mutants import MUTANTS
from tests.histories.state import places, verdict
from tests.inspections.assessment.snapshots import (
    BEFORE,
    FITTED,
    UNDERCUT,
    V,
    diameters,
    snapshot,
    take,
    worn,
)

# These work on what the database holds: the histories alone tell them.
IN_THE_DATABASE = (
    "a deeper last reading erases the date",
    "a later word clears a stop",
)
LATER = BEFORE + timedelta(days=30)
LIGHT = {
    "car_mass_kg": 450.0,
    "rated_load_kg": 450.0,
    "balance_ratio": 0.5,
    "travel_m": 90.0,
    "wrap_angle_deg": 178.0,
}


def breaks(number, *more, window="lay", **rest):
    return [take("breaks_total", number, rope=1, window=window, **rest), *more]


def offsets(*values):
    place = {"frame_mark": "kept", "load": "empty", "travel": "round trip"}
    return [
        take("rope_mark_offset", value, rope=1, round_trips=str(trip), **place)
        for trip, value in enumerate(values, start=1)
    ]


def crowns(fall_mm):
    return [
        *diameters(on=FITTED),
        *diameters(),
        *[
            take("rope_crown_height", height, groove=n, mark="A", on=on)
            for n in range(1, 6)
            for height, on in ((3.0, FITTED), (3.0 - fall_mm, BEFORE))
        ],
    ]


def rim(mm):
    return [
        *worn(4.0),
        *[
            take("rim_thickness", mm, axial_mm=axial, mark="A", over="land")
            for axial in (5.0, 105.0)
        ],
        *[take("groove_bottom_depth", 13.0, groove=n) for n in range(1, 6)],
    ]


# A machine, the topic that tells of it, and the answers with the fault that would do.
CASES = {
    "a stalled failure hides a real one": (
        {"readings": crowns(4.0), "geometry": V, "machine": LIGHT},
        "traction",
    ),
    "a later count clears an earlier one": (
        {"readings": [*breaks(60.0, on=BEFORE), *breaks(1.0, on=LATER)]},
        "broken wires",
    ),
    "many breaks are not told of where nobody saw how they lie": (
        {"readings": breaks(20.0), "criteria_set": "TSG_T7001"},
        "broken wires",
    ),
    "a count over 30 d may be none in a lay": (
        {"readings": breaks(150.0, window="30d")},
        "broken wires",
    ),
    "a part above the total drops the count": (
        {"readings": breaks(60.0, take("breaks_adjacent", 61.0, rope=1, window="lay"))},
        "broken wires",
    ),
    "what was in order in the same visit clears a defect": (
        {
            "readings": [
                take("check", word="defect", part="fastening"),
                take("check", word="pass", part="fastening"),
            ]
        },
        "check",
    ),
    "an offset is not told of without a modulus": (
        {"readings": offsets(500.0, 500.0, 500.0), "rope_set": {"modulus_mpa": None}},
        "creep over the sheave",
    ),
    "a thicker reading elsewhere clears a condemned rope": (
        {
            "readings": [
                take("rope_diameter", 11.0, rope=1, station="middle", on=BEFORE),
                take("rope_diameter", 13.0, rope=1, station="end", on=LATER),
            ]
        },
        "rope diameter",
    ),
    "a diameter of some families is judged in silence": (
        {"readings": diameters(11.0), "criteria_set": "ASME_A17_1"},
        "rope diameter",
    ),
    "a run-out that was not read is none": (
        {
            "readings": rim(26.5),
            "sheave": {"rim_width_mm": 120.0, "minimum_rim_mm": 12.0},
        },
        "rim metal",
    ),
    "offsets are averaged with their signs": (
        {"readings": offsets(300.0, -300.0, 5.0)},
        "creep over the sheave",
    ),
    "bands too wide for the route are no depth": (
        {
            "readings": [
                *diameters(),
                *[
                    take("seat_band_width", 5.0, groove=n, flank=flank)
                    for n in range(1, 6)
                    for flank in ("left", "right")
                ],
            ],
            "geometry": V,
            "machine": {"wrap_angle_deg": 90.0},
        },
        "traction",
    ),
    "what is missing of a groove is none": (
        {
            "readings": worn(4.0, grooves=4),
            "geometry": UNDERCUT | {"groove_angle_deg": None},
            "machine": LIGHT | {"car_mass_kg": 600.0, "travel_m": 30.0},
            "rope_set": {"ropes_count": 4},
        },
        "traction",
    ),
    "a braking that nobody registered is the code's": (
        {
            "readings": worn(4.0),
            "machine": {
                "braking_deceleration_m_s2": None,
                "car_mass_kg": 1500.0,
                "wrap_angle_deg": 178.0,
            },
        },
        "traction",
    ),
    "a mass as read takes the place of the register's": (
        {
            "readings": [
                *worn(4.0),
                take("balance_load", 0.45),
            ],
            "machine": {"balance_ratio": 0.02},
        },
        "traction",
    ),
}
RANK = {"not told": 0, "within": 0, "open": 1, "beyond": 2}


def answers(given, topic):
    """Return the worst answer of a topic at each place of a machine."""
    given = dict(given)
    of = snapshot(*given.pop("readings"), **given)
    [of] = inputs.load(snapshots=[of])
    found = {}
    for draft in assessing.judge(of)[0]:
        if str(draft.topic).startswith(topic):
            for place in places(draft.place):
                found[place] = max(
                    verdict(draft), found.get(place, "not told"), key=RANK.__getitem__
                )
    return found


@pytest.fixture(autouse=True)
def _loaded_as_given():
    """Let what is loaded be what a test has made, as filters change it."""
    with patch.object(inputs, "load", lambda snapshots: snapshots):
        yield


def test_every_fault_has_a_case_or_is_one_of_the_database():
    assert set(CASES) | set(IN_THE_DATABASE) == set(MUTANTS)


@pytest.mark.parametrize("name", CASES)
def test_a_fault_makes_a_case_look_better(name):
    given, topic = CASES[name]
    honest = answers(given, topic)

    with MUTANTS[name].put_back():
        faulty = answers(given, topic)

    better = {
        place: (answer, faulty.get(place, "not told"))
        for place, answer in honest.items()
        if RANK[faulty.get(place, "not told")] < RANK[answer]
    }
    assert better
