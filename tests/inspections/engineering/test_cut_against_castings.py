"""Cuts of random castings whose metal is known at every place round the rim."""

from math import cos, pi, radians, tan
from random import Random

import pytest

from inspections.engineering import criteria, cut, rim
from inspections.engineering.cut import (
    FitAnswer,
    KnownForm,
    Proof,
    SeatAt,
    SheaveToCut,
)
from inspections.engineering.rim import (
    CastRunout,
    GrooveBottom,
    MeasuredDraft,
    ThicknessReading,
)

EUROPE = criteria.find(code="EN_81_20")
QUARTERS = (0.0, pi / 2, pi, 3 * pi / 2)
CASTINGS = 300
EXACT = 1e-6


def cast(random, *, angles, gauge_sd_mm, seat_sd_mm):
    """Return by how much the cut really fits [mm], and what is said of it."""
    slope = tan(radians(random.uniform(0.5, 3.0)))
    at_datum_mm, runout_mm = random.uniform(36.0, 44.0), random.uniform(0.0, 1.5)
    phase = random.uniform(0.0, 2.0 * pi)

    def thickness_mm(axial_mm, angle_rad):
        eccentric_mm = runout_mm / 2.0 * cos(angle_rad - phase)
        return at_datum_mm - slope * axial_mm + eccentric_mm

    grooves = tuple(
        GrooveBottom(number=n + 1, axial_mm=10.0 + 20.0 * n, bottom_depth_mm=18.0)
        for n in range(5)
    )
    depths_mm = [random.uniform(0.3, 2.0) for _ in grooves]
    under_mm = min(
        thickness_mm(groove.axial_mm, radians(degree))
        for groove in grooves
        for degree in range(0, 360, 5)
    )
    left_mm = under_mm - 18.0 - max(depths_mm) - 1.6
    minimum_mm = left_mm + random.uniform(-4.0, 4.0)
    metal = rim.metal(
        grooves=grooves,
        readings=tuple(
            ThicknessReading(
                axial_mm=axial_mm,
                thickness_mm=thickness_mm(axial_mm, angle_rad)
                + random.gauss(0.0, gauge_sd_mm),
                sd_mm=gauge_sd_mm,
                angle_rad=angle_rad,
            )
            for axial_mm in (5.0, 95.0)
            for angle_rad in QUARTERS[:angles]
        ),
        draft=MeasuredDraft(),
        runout=CastRunout(
            indicator_mm=max(runout_mm + random.gauss(0.0, gauge_sd_mm), 0.0),
            sd_mm=gauge_sd_mm,
        ),
        minimum_mm=minimum_mm,
    )
    plan = cut.plan(
        sheave=SheaveToCut(
            form=KnownForm.UNDERCUT,
            pitch_diameter_new_mm=600.0,
            pitch_diameter_turned_mm=600.0,
            hardened_depth_mm=0.0,
        ),
        seats=tuple(
            SeatAt(
                groove=n + 1,
                depth_mm=depth + random.gauss(0.0, seat_sd_mm),
                sd_mm=seat_sd_mm,
            )
            for n, depth in enumerate(depths_mm)
        ),
        rim=metal,
        clean_up_mm=1.6,
        rope_diameter_mm=12.0,
        proof=Proof(minimum_diameter_mm=400.0, crack_free=True),
        criteria_set=EUROPE,
    )
    return left_mm - minimum_mm, plan.answer


def told(**how):
    random = Random(11)
    found = [cast(random, **how) for _ in range(CASTINGS)]
    fits = [answer for room_mm, answer in found if room_mm >= 0.0]
    wrong = [
        answer
        for room_mm, answer in found
        if room_mm < 0.0 and answer is not FitAnswer.DOES_NOT_FIT
    ]
    return len(fits), fits.count(FitAnswer.DOES_NOT_FIT), len(wrong)


@pytest.mark.parametrize("angles", [1, 2, 4])
def test_no_cut_is_said_to_fit_that_does_not(angles):
    _, _, wrong = told(angles=angles, gauge_sd_mm=0.2, seat_sd_mm=0.15)

    assert wrong == 0


def test_exact_gauges_at_four_angles_refuse_nothing_that_fits():
    fits, refused, _ = told(angles=4, gauge_sd_mm=EXACT, seat_sd_mm=EXACT)

    assert fits > 100
    assert refused == 0


def test_one_angle_refuses_more_cuts_that_fit_than_two_or_four():
    refused = [
        told(angles=angles, gauge_sd_mm=0.2, seat_sd_mm=0.15)[1] for angles in (1, 2, 4)
    ]

    assert refused[0] > max(refused[1:])
    assert max(refused[1:]) < 0.25 * CASTINGS / 2
