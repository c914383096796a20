"""Numbers that cannot be are set aside, and what once made them no longer does."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from inspections.projection import forecasting, hyper, sanity

SECOND, HOUR = 1 / 365.25 / 86_400, 1 / 365.25 / 24
NEAR = {
    "two visits within two hours, then a third": [
        (5.0, 2.0),
        (5.0 + 2 * HOUR, 2.1),
        (6.0, 2.4),
    ],
    "two readings within a second, then two more": [
        (5.0, 2.0),
        (5.0 + SECOND, 2.1),
        (6.0, 2.4),
        (7.0, 2.6),
    ],
    "readings that agree, two of them within a second": [
        (5.0, 2.0),
        (5.0 + SECOND, 2.0),
        (6.0, 2.0),
        (7.0, 2.0),
    ],
    "three within a minute": [
        (5.0, 2.0),
        (5.0 + SECOND, 2.2),
        (5.0 + 60 * SECOND, 2.1),
    ],
}


@pytest.mark.parametrize("history", NEAR.values(), ids=NEAR.keys())
@pytest.mark.parametrize("known", [False, True])
@pytest.mark.parametrize("drift", [0.0, 0.08, 0.3])
def test_visits_close_to_each_other_leave_a_level_near_the_readings(
    arguments, class_values, history, known, drift
):
    given = [(0.0, 0.0), *history] if known else history
    wanders = replace(class_values, drift=np.array([drift]))

    found = forecasting.forecast(
        **arguments(given, known=known, limit_mm=4.0), hyper=wanders
    )

    assert found.state[0] == forecasting.FORECAST
    read = [level for _, level in history]
    assert min(read) - 0.2 < found.level_mm[0] < max(read) + 0.6
    assert found.level_sd_mm[0] < 0.2
    assert found.chance_already[0] < 1e-3


def test_line_of_visits_close_to_each_other_is_that_of_exact_arithmetic(arguments):
    """Beside least squares in double precision, hours apart and years on."""
    times = np.array([0.0, 2 / 365.25, 1.0, 2.0, 3.0])
    levels = np.array([0.5, 0.58, 0.7, 0.9, 1.1])
    classes = replace(
        hyper.starting(rate_per_clock=np.array([0.2])),
        drift=np.array([0.0]),
        burst=np.array([0.2]),
        machine_sd=np.array([50.0]),
    )

    found = forecasting.forecast(
        **arguments(list(zip(times, levels, strict=True))), hyper=classes
    )

    rate = found.rate_mm_per_clock[0]
    variance = np.diag(np.full(5, 0.01))
    # bursts gathered since each reading, shared by all before it
    since = times[-1] - times
    variance += 0.2**2 * 0.2**2 * np.minimum.outer(since, since)
    design = np.stack([np.ones(5), -since], axis=1)
    inverse = np.linalg.inv(variance)
    level, _ = np.linalg.solve(design.T @ inverse @ design, design.T @ inverse @ levels)
    assert found.level_mm[0] == pytest.approx(level, abs=0.02)
    assert rate == pytest.approx(0.19, abs=0.05)


@dataclass
class Levels:
    level_mm: np.ndarray
    level_sd_mm: np.ndarray


@pytest.mark.parametrize(
    ("level", "sd", "cannot_be"),
    [
        (1.0, 0.1, False),
        (3.4, 0.1, False),
        (8.56, 2.3e8, True),
        (1.0, 3.7, True),
        (1.0, 3.5, False),
        (4.9, 0.1, True),
        (-27_588.0, 0.1, True),
        (1.0, np.inf, False),
    ],
)
def test_what_the_quantity_cannot_span_is_found(arguments, level, sd, cannot_be):
    given = arguments([(1.0, 0.9), (2.0, 1.2)], limit_mm=3.0)

    found = sanity.beyond(
        result=Levels(np.array([level]), np.array([sd])),
        readings=given["readings"],
        limits=given["limits"],
    )

    assert found.tolist() == [cannot_be]


def test_no_date_lies_before_the_clock_began(arguments, class_values):
    found = forecasting.forecast(
        **arguments([(1.0, 5.9), (2.0, 6.0), (3.0, 6.1)], limit_mm=2.0),
        hyper=class_values,
    )

    assert found.state[0] == forecasting.FORECAST
    assert found.level_mm[0] == pytest.approx(6.1, abs=0.2)
    assert found.quantiles_years.min() == -3.0
    assert found.chance_already[0] > 0.99
