"""How much a reading scatters: by its gauge where that is known."""

from math import sqrt

import pytest

from inspections.inputs import noise
from inspections.models import Gauge, Reading


def of(kind="bottom_clearance", **gauge):
    return noise.of(Reading(kind=kind, gauge=Gauge(**gauge) if gauge else None))


def test_the_gauges_repeatability_and_half_its_step_add_up():
    # A step s is a rectangle of half-width s/2, so its variance is s^2/12
    # (JCGM 100:2008, 4.3.7; from memory).
    assert of(repeatability_mm=0.2, resolution_mm=0.3) == pytest.approx(
        sqrt(0.2**2 + 0.3**2 / 12)
    )


def test_a_gauge_that_does_not_say_how_well_it_repeats_is_a_usual_one():
    assert of(resolution_mm=0.01) == of() == noise.NOISE_MM["bottom_clearance"]


def test_a_fine_gauge_does_not_take_away_how_it_is_placed():
    assert of(repeatability_mm=0.001) == pytest.approx(of() / 2)


def test_a_coarse_gauge_is_believed():
    assert of(repeatability_mm=1.0) == pytest.approx(1.0)
