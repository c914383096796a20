"""A reading of masses or wrap that the register disagrees with, and what it changes."""

from random import Random

import pytest

from inspections.assessment.assessing import judge
from inspections.assessment.draft import Draft
from inspections.inputs import Snapshot
from inspections.models import Grade
from tests.inspections.assessment.snapshots import (
    UNDERCUT,
    Taken,
    V,
    diameters,
    snapshot,
    take,
    worn,
)
from tests.inspections.assessment.test_traction_tests import FULL, run

DRAWS = 12
ORDER = (
    Grade.IN_ORDER,
    Grade.KEEP_AN_EYE_ON,
    Grade.NOT_ASSESSED,
    Grade.PLAN_WORK,
    Grade.ACT_NOW,
)


def bands(width_mm: float) -> list[Taken]:
    """Return seats of V-grooves, each flank worn over such a width [mm]."""
    return [
        *diameters(),
        *(
            take("seat_band_width", width_mm, groove=n, flank=flank)
            for n in range(1, 6)
            for flank in ("left", "right")
        ),
    ]


def traction(of: Snapshot) -> list[Draft]:
    return [each for each in judge(of)[0] if str(each.topic).startswith("traction")]


def worst(of: Snapshot) -> tuple[bool, int]:
    """Return whether traction takes the machine out of service, and its worst grade."""
    found = traction(of)
    grade = max(ORDER.index(Grade(each.grade)) for each in found)
    return any(each.stops_service for each in found), grade


def first_limit_mm(of: Snapshot) -> float:
    limits = [each for each in judge(of)[1] if each.quantity == "seat_depth"]
    return min(each.value - 2.0 * each.sd for each in limits)


def test_no_reading_that_disagrees_takes_a_stop_away():
    # By the reading a case does not close with the groove as new, which beside a passed
    # test asks only for the register to be checked; by the register wear took it.
    machine = {"wrap_angle_deg": 104.0, "balance_ratio": 0.44}
    passed = [run(case) for case in FULL]

    def of(*more: Taken, **changed: float) -> Snapshot:
        read = (*bands(1.5), *passed, *more)
        return snapshot(*read, machine=machine | changed, geometry=V)

    registered, by_reading = of(), of(balance_ratio=0.66)
    both = of(take("balance_load", 0.66))

    assert worst(registered) == (True, ORDER.index(Grade.ACT_NOW))
    assert worst(by_reading) == (False, ORDER.index(Grade.PLAN_WORK))
    assert worst(both) == worst(registered)
    cases = {each.detail.get("case") for each in traction(both)}
    assert cases >= {each.detail.get("case") for each in traction(by_reading)}


@pytest.mark.parametrize("balance", [0.44, 0.47, 0.5, 0.55, 0.6, 0.66, 0.75])
def test_a_register_that_gets_worse_never_takes_a_stop_away(balance):
    of = snapshot(
        *bands(1.5),
        machine={"wrap_angle_deg": 104.0, "balance_ratio": balance},
        geometry=V,
    )

    assert worst(of) == (True, ORDER.index(Grade.ACT_NOW))


@pytest.mark.parametrize("seed", range(DRAWS))
def test_nothing_looks_better_than_by_register_or_by_reading(seed):
    random = Random(seed)
    geometry = random.choice((V, UNDERCUT))
    read = (
        bands(random.uniform(0.8, 4.5))
        if geometry is V
        else worn(random.uniform(0.3, 4.0))
    )
    machine = {
        "wrap_angle_deg": random.uniform(95.0, 175.0),
        "balance_ratio": random.uniform(0.38, 0.52),
        "car_mass_kg": random.uniform(900.0, 1500.0),
    }
    balance, car_kg = random.uniform(0.55, 0.75), random.uniform(600.0, 2200.0)

    def of(*more: Taken, **changed: float) -> Snapshot:
        return snapshot(*read, *more, machine=machine | changed, geometry=geometry)

    both = of(take("balance_load", balance), take("car_mass", car_kg))
    alone = [
        of(),
        of(balance_ratio=balance),
        of(car_mass_kg=car_kg),
        of(balance_ratio=balance, car_mass_kg=car_kg),
    ]

    assert worst(both) == (
        max(worst(each)[0] for each in alone),
        max(worst(each)[1] for each in alone),
    )
    assert first_limit_mm(both) == pytest.approx(
        min(first_limit_mm(each) for each in alone), abs=0.02
    )


def test_a_reading_that_cannot_be_leaves_what_the_register_fails_by():
    machine = {"wrap_angle_deg": 104.0, "balance_ratio": 0.44}
    of = snapshot(*bands(1.5), take("balance_load", -3.0), machine=machine, geometry=V)

    assert worst(of)[0]
