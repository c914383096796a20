"""A small fleet of each kind: a model that stops being calibrated fails here.

The full study is ``python -m tests.benchmarks.calibration``; these fleets are a
quarter of its size, so the bounds are wider than its targets.
"""

import pytest

from tests.benchmarks import calibration, counts, fleets

SEED, GROUPS = 401, 300
COVERAGE_BOUND = 0.09
LEAST_CUT = {
    "linear": 0.34,
    "outlier": 0.42,
    "accel": 0.66,
    "runin": 0.42,
    "season": 0.45,
    "drift": 0.14,
    "jump": 0.16,
    "gamma": 0.32,
    "mix": 0.26,
}
"""CRPS below that of least squares, one by one."""


# Even wear, bursts, and all at once; the other laws by `.ci/long learning`.
IN_EVERY_RUN = ("linear", "gamma", "mix")


@pytest.mark.parametrize(
    "law",
    [
        pytest.param(law, marks=() if law in IN_EVERY_RUN else pytest.mark.long)
        for law in fleets.LAWS
    ],
)
def test_four_in_five_fall_inside_the_interval_under(law):
    fleet = fleets.make_fleet(seed=SEED, groups=GROUPS, law=law)

    quantiles = calibration.forecast(fleet, on_usage=law == "season")

    found = calibration.compared(fleet, quantiles, law)
    assert found["coverage80"] == pytest.approx(0.80, abs=COVERAGE_BOUND)
    assert found["missed_below"] < 0.16
    assert abs(found["median_log_bias"]) < 0.08
    assert found["crps_3"] < (1 - LEAST_CUT[law]) * found["least_squares_crps_3"]
    assert found["p10_loss_3"] < found["least_squares_p10_loss_3"]


@pytest.mark.parametrize("law", counts.LAWS)
def test_broken_wires_meet_their_limit_inside_the_interval_with(law):
    found = counts.score_one(seed=SEED, groups=200, **counts.LAWS[law])

    assert found["coverage80"] == pytest.approx(0.80, abs=0.08)
    assert found["crps"] < 2.6


def test_generator_is_the_one_the_study_was_made_with():
    fleets.check("linear")
