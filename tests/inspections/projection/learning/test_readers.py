"""Gauges and people that read off each other are told apart only at shared places."""

from dataclasses import replace

import numpy as np
import pytest

from inspections.projection import hyper, series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.learning import readers
from inspections.projection.learning.readers import NOBODY, Readers

GROOVES, VISITS = 3, 8
CLASS = replace(
    hyper.starting(rate_per_clock=np.array([0.2])),
    drift=np.array([0.06]),
    burst=np.array([0.1]),
)


def fleet(
    *, machines: int, gauge_mm: list[float], by: np.ndarray, person_mm=(0.0,), seed=1
):
    """Return readings of even wear and who read them.

    by : (machines, VISITS) which gauge read at which visit; people take turns
    """
    rng = np.random.default_rng(seed)
    shape = (machines, GROOVES, VISITS)
    clock = np.broadcast_to(np.arange(1, VISITS + 1) * 0.5, shape)
    rate = 0.2 * np.exp(0.5 * rng.standard_normal((machines, 1, 1)))
    person = (np.arange(machines)[:, None] + np.arange(VISITS)) % len(person_mm)
    at_visit = np.array(gauge_mm)[by] + np.array(person_mm)[person]
    at_visit = at_visit + 0.03 * rng.standard_normal(by.shape)
    level = rate * clock + at_visit[:, None] + 0.07 * rng.standard_normal(shape)
    visit = np.arange(machines * VISITS).reshape(machines, 1, VISITS)
    found = series.arrange(
        series=np.repeat(np.arange(machines * GROOVES), VISITS),
        clock=clock.ravel(),
        level_mm=level.ravel(),
        noise_mm=np.full(level.size, 0.08),
        visit=np.broadcast_to(visit, shape).ravel(),
        series_count=machines * GROOVES,
    )
    return {
        "readings": found.readings,
        "hierarchy": Hierarchy(
            epoch_of_series=np.repeat(np.arange(machines), GROOVES),
            machine_of_epoch=np.arange(machines),
            class_of_machine=np.zeros(machines, dtype=int),
        ),
        "hyper": CLASS,
        "readers": Readers(
            gauge=np.broadcast_to(by[:, None], shape).ravel(),
            person=np.broadcast_to(person[:, None], shape).ravel(),
            gauges=len(gauge_mm),
            people=len(person_mm),
        ),
    }


def in_turns(machines: int, gauges: int, seed=2) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return rng.integers(0, gauges, (machines, VISITS))


def test_gauge_that_reads_low_is_found_and_the_others_are_not():
    off = [0.0, 0.0, -0.25, 0.0, 0.0]

    found = readers.learn(**fleet(machines=30, gauge_mm=off, by=in_turns(30, 5)))

    assert found.off.tolist() == [False, False, True, False, False, False]
    # relative to the others: drawn to zero, and their mean is not known
    assert -0.25 < found.mm[2] < -0.17
    assert found.mm[2] - np.mean(found.mm[[0, 1, 3, 4]]) == pytest.approx(
        -0.25, abs=0.04
    )


def test_good_gauges_and_people_are_seldom_called_off():
    wrongly = 0
    for seed in range(12):
        given = fleet(
            machines=20,
            gauge_mm=[0.0] * 4,
            person_mm=(0.0, 0.0, 0.0),
            by=in_turns(20, 4, seed),
            seed=100 + seed,
        )
        wrongly += int(readers.learn(**given).off.sum())

    assert wrongly <= 1


def test_differences_of_gauges_err_as_their_standard_errors_say():
    rng, z = np.random.default_rng(8), []
    for seed in range(25):
        truth = 0.1 * rng.standard_normal(6)
        given = fleet(
            machines=15, gauge_mm=list(truth), by=in_turns(15, 6, seed), seed=seed
        )
        found = readers.learn(**given)
        apart = np.eye(6) - 1 / 6
        sd = np.sqrt(np.diagonal(apart @ found.covariance[:6, :6] @ apart))
        z.extend(apart @ (found.mm[:6] - truth) / sd)

    assert 0.7 < np.std(z) < 1.3


def test_gauge_that_reads_its_machines_alone_is_not_told_from_them():
    by = np.zeros((20, VISITS), dtype=int)
    by[10:] = 1
    found = readers.learn(**fleet(machines=20, gauge_mm=[0.0, -0.4], by=by))

    assert found.places[:2].tolist() == [0, 0]
    assert not found.off.any()
    assert found.mm.tolist() == [0.0, 0.0, 0.0]


def test_change_of_gauge_halfway_is_not_taken_for_a_bend():
    """Wear that slows down at the change looks like a gauge that reads low."""
    by = np.zeros((25, VISITS), dtype=int)
    by[:, VISITS // 2 :] = 1
    given = fleet(machines=25, gauge_mm=[0.0, 0.0], by=by)
    wild = replace(CLASS, drift=np.array([0.35]), burst=np.array([0.3]))

    sure = readers.learn(**given)
    unsure = readers.learn(**given | {"hyper": wild})

    assert unsure.sd_mm[0] > sure.sd_mm[0]
    assert not unsure.off.any()


def test_gauge_and_person_always_together_share_what_is_off():
    by = in_turns(30, 3)
    given = fleet(machines=30, gauge_mm=[0.0, 0.0, -0.3], by=by)
    given["readers"] = replace(
        given["readers"], person=given["readers"].gauge.copy(), people=3
    )
    found = readers.learn(**given)

    both = found.mm[2] + found.mm[5]
    assert both == pytest.approx(-0.2, abs=0.08)
    # neither can be told from the other: what is one's is not the other's
    variance = found.covariance[np.ix_([2, 5], [2, 5])]
    assert variance[0, 1] < -0.3 * np.sqrt(variance[0, 0] * variance[1, 1])


def test_one_gross_error_makes_no_gauge_off():
    given = fleet(machines=12, gauge_mm=[0.0, 0.0], by=in_turns(12, 2))
    readings = given["readings"]
    level = readings.level_mm.copy()
    level[7] += 6.0
    given["readings"] = replace(readings, level_mm=level)

    assert not readers.learn(**given).off.any()


def test_nobody_known_is_nothing_told():
    given = fleet(machines=4, gauge_mm=[0.0], by=in_turns(4, 1))
    nobody = np.full(given["readers"].gauge.size, NOBODY)
    given["readers"] = Readers(gauge=nobody, person=nobody, gauges=1, people=1)

    found = readers.learn(**given)

    assert found.mm.tolist() == [0.0, 0.0]
    assert np.all(np.isfinite(found.sd_mm))
