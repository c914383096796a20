from math import sqrt

import numpy as np
import pytest
from scipy.integrate import quad

from inspections.engineering.tension import against_masses, tension_from_wave
from inspections.engineering.validity import OutsideValidity


def found(time_s=2.4, trips=5, length_m=20.0, mass=0.5746, sds=(0.0, 0.0, 0.0)):
    return tension_from_wave(
        time_s=time_s,
        round_trips=trips,
        length_m=length_m,
        mass_kg_per_m=mass,
        time_sd_s=sds[0],
        length_sd_m=sds[1],
        mass_sd_kg_per_m=sds[2],
    )


@pytest.mark.parametrize("lower_n", [400.0, 1500.0, 4000.0, 9000.0])
@pytest.mark.parametrize("length_m", [5.0, 30.0, 120.0])
def test_force_is_that_whose_wave_takes_the_time_by_quadrature(lower_n, length_m):
    mass = 0.5746
    one_way_s, _ = quad(
        lambda x: sqrt(mass / (lower_n + mass * 9.81 * x)), 0.0, length_m
    )

    result = found(2 * 7 * one_way_s, 7, length_m, mass)

    assert result.lower_n == pytest.approx(lower_n)
    assert result.upper_n == pytest.approx(lower_n + mass * 9.81 * length_m)


def test_deviation_is_that_of_many_readings():
    random = np.random.default_rng(4)
    sds = (0.02, 0.1, 0.006)
    drawn = [
        found(2.4 + sds[0] * a, 5, 20.0 + sds[1] * b, 0.5746 + sds[2] * c).lower_n
        for a, b, c in random.standard_normal((4000, 3))
    ]

    assert found(sds=sds).sd_n == pytest.approx(np.std(drawn), rel=0.05)


def test_sum_of_ropes_that_disagrees_with_the_masses_is_told():
    ropes = (found(sds=(0.02, 0.1, 0.006)),) * 5
    whole_n = sum(rope.upper_n for rope in ropes)

    def against(expected_n):
        return against_masses(
            tensions=ropes, expected_n=expected_n, expected_sd_n=600.0
        )

    assert against(whole_n + 1000.0).agrees
    assert not against(whole_n + 4000.0).agrees


def test_rope_lighter_than_its_own_weight_is_refused():
    with pytest.raises(OutsideValidity, match="more than its own weight"):
        found(time_s=60.0)
