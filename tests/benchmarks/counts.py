"""Simulated broken-wire counts with a known day on which each rope meets its limit."""

import numpy as np

from inspections.projection import counts
from inspections.projection.counts import Counts
from tests.benchmarks.scores import crps

LAWS = {
    "exponent 2.2": {},
    "exponent 1.5": {"exponent": 1.5},
    "clustered breaks": {"clustered": 0.5},
    "85 % detected": {"detected": 0.85},
    "70 % detected": {"detected": 0.7},
    "clustered, 85 % detected": {"clustered": 0.5, "detected": 0.85},
}
LIMIT = 10
PROBABILITIES = tuple(round(0.05 * k, 2) for k in range(1, 20))
_LONGEST, _LONGEST_SCORED = 60.0, 25.0


def make(
    *,
    seed: int,
    groups: int,
    exponent: float = 2.2,
    clustered: float = 0.0,
    detected: float = 1.0,
) -> tuple[Counts, np.ndarray, np.ndarray]:
    """Return counts at visits, years each rope has left, and which still hang.

    Machine factor exp(0.5·N), rope factor exp(0.3·N), 3 to 8 ropes, records of 0.5 to
    9 years, 1 to 12 visits a year; a rope comes off when a count meets the limit.
    """
    rng = np.random.default_rng(seed)
    clock, count, size, machine, left, current = [], [], [], [], [], []
    for group in range(groups):
        factor = np.exp(0.5 * rng.standard_normal())
        ropes, age = rng.integers(3, 9), rng.uniform(0.5, 9)
        yearly = rng.choice([1, 2, 4, 12], p=[0.35, 0.35, 0.2, 0.1])
        visits = np.sort(rng.uniform(0, age, max(1, int(yearly * age))))
        visits = visits[visits > 0]
        for _ in range(ropes):
            rate = 0.06 * factor * np.exp(0.3 * rng.standard_normal())
            gaps = rng.exponential(1, 400)
            broken = 1 + rng.poisson(clustered, 400) if clustered else np.ones(400, int)
            times = (np.cumsum(gaps) / rate * (1 + clustered)) ** (1 / exponent)
            total = np.concatenate([[0], np.cumsum(broken)])
            true = total[np.searchsorted(times, visits)]
            seen = rng.binomial(true, detected) if detected < 1 else true
            over = np.flatnonzero(np.maximum.accumulate(seen) >= LIMIT)
            kept = visits.size if over.size == 0 else int(over[0]) + 1
            met = times[np.searchsorted(total[1:], LIMIT)]
            clock += list(visits[:kept])
            count += list(seen[:kept])
            size.append(kept)
            machine.append(group)
            left.append(met - visits[kept - 1])
            current.append(over.size == 0)
    bounds = np.concatenate([[0], np.cumsum(size)])
    found = Counts(
        clock=np.array(clock),
        count=np.array(count, dtype=float),
        bounds=bounds,
        machine=np.array(machine),
        machines=groups,
    )
    return found, np.array(left), np.array(current)


def score_one(*, seed: int, groups: int, **law: float) -> dict[str, float]:
    found, left, current = make(seed=seed, groups=groups, **law)
    learnt = counts.learn(counts=found)
    limit = np.full(left.size, float(LIMIT))
    quantiles = counts.forecast(
        counts=found, limit=limit, learnt=learnt, probabilities=PROBABILITIES
    )[:, current]
    early = counts.forecast(
        counts=found, limit=limit, learnt=learnt, probabilities=(0.02,)
    )[0, current]
    # who is told that the day is today is not told too late
    late = float(np.mean((left[current] < early) & (early > 0)))
    truth = np.minimum(left[current], _LONGEST)
    below = float(np.mean(truth < quantiles[1] - 1e-9))
    above = float(np.mean(truth > quantiles[17] + 1e-9))
    loss = crps(
        quantiles=np.clip(quantiles, 0, _LONGEST_SCORED),
        probabilities=np.array(PROBABILITIES),
        truth=np.clip(truth, 0, _LONGEST_SCORED),
    )
    return {
        "coverage80": 1 - below - above,
        "missed_below": below,
        "missed_above": above,
        "crps": float(loss.mean()),
        "late_at_p2": late,
        "exponent": learnt.exponent,
        "detection": learnt.detection,
        "dispersion": learnt.dispersion,
    }


def run(*, seeds: list[int], groups: int) -> dict[str, dict[str, float]]:
    """Return scores per law, averaged over the seeds."""
    result = {}
    for name, law in LAWS.items():
        rows = [score_one(seed=seed, groups=groups, **law) for seed in seeds]
        result[name] = {
            key: round(float(np.mean([row[key] for row in rows])), 4) for key in rows[0]
        }
    return result
