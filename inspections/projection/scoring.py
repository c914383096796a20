"""How good were we: past forecasts against what happened since.

A forecast can be judged once the limit was met, or once it is not met though the
forecast said it would be. Scores: hit, early or late against the 80 % interval;
coverage; pinball loss (Gneiting & Raftery, JASA 102, 2007).
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers, group_sum, safe_ratio

HIT = 0
EARLY = 1
"""The limit was met before P10: wear ran ahead of the forecast."""
LATE = 2
"""The limit was met after P90, or P90 has passed and it is not met."""
OPEN = 3
"""Not met, and P90 has not passed: no verdict yet."""

INTERVAL = (0.10, 0.90)
_FEWEST = 30
_TOLERANCE = 1e-9


def verdicts(*, low: Floats, high: Floats, elapsed: Floats, met: Flags) -> Integers:
    """Return HIT, EARLY, LATE or OPEN per forecast (n,).

    low, high : P10 and P90 [years from the forecast's origin]
    elapsed : years from the origin to the day the limit was met, or to today
    met : True where ``elapsed`` is the day it was met
    """
    verdict = np.full(low.size, OPEN, dtype=np.int8)
    verdict[met] = HIT
    verdict[met & (elapsed < low - _TOLERANCE)] = EARLY
    verdict[elapsed > high + _TOLERANCE] = LATE
    return verdict


def pinball(*, quantiles: Floats, probabilities: Floats, truth: Floats) -> Floats:
    """Return the pinball loss (P, n) of quantiles (P, n) against the truth (n,).

    >>> pinball(quantiles=np.array([[2.0]]), probabilities=np.array([0.1]),
    ...         truth=np.array([4.0]))
    array([[0.2]])
    """
    gap = truth - quantiles
    level = np.asarray(probabilities)[:, None]
    loss: Floats = np.maximum(level * gap, (level - 1.0) * gap)
    return loss


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What became of a group's forecasts (G,). Shares are of those judged.

    judged : forecasts with a verdict; hits, early, late : shares, 0 without any
    coverage_error : standard error of ``hits``, machines as clusters
    pinball_low : mean pinball loss of P10 where the limit was met [years]
    doubtful : enough were judged, and the coverage is off by over two errors
    """

    judged: Floats
    hits: Floats
    early: Floats
    late: Floats
    coverage_error: Floats
    pinball_low: Floats
    doubtful: Flags


def record(
    *,
    low: Floats,
    high: Floats,
    elapsed: Floats,
    met: Flags,
    group: Integers,
    machine: Integers,
    groups: int,
) -> Record:
    """Return the record of each group, e.g. of each class.

    low, high, elapsed, met : (n,) as for ``verdicts``
    group, machine : (n,) index of each forecast's group and machine (a machine's
        series stand and fall together, so it counts as one cluster)
    """
    verdict = verdicts(low=low, high=high, elapsed=elapsed, met=met)
    closed = verdict != OPEN
    judged = group_sum(closed.astype(np.float64), group, groups)

    def share(code: int) -> Floats:
        return safe_ratio(group_sum((verdict == code) * 1.0, group, groups), judged)

    hits = share(HIT)
    # clustered variance: squares of each machine's summed deviations
    deviation = np.where(closed, (verdict == HIT) - hits[group], 0.0)
    cluster, of = np.unique(machine * groups + group, return_inverse=True)
    summed = group_sum(deviation, of, cluster.size)
    variance = group_sum(summed**2, cluster % groups, groups)
    error = safe_ratio(np.sqrt(variance), judged)
    loss = pinball(
        quantiles=low[None], probabilities=np.array([INTERVAL[0]]), truth=elapsed
    )[0]
    known = group_sum(met * 1.0, group, groups)
    nominal = INTERVAL[1] - INTERVAL[0]
    return Record(
        judged=judged,
        hits=hits,
        early=share(EARLY),
        late=share(LATE),
        coverage_error=error,
        pinball_low=safe_ratio(
            group_sum(np.where(met, loss, 0.0), group, groups), known
        ),
        doubtful=(judged >= _FEWEST)
        & (np.abs(hits - nominal) > 2.0 * np.maximum(error, 0.01)),
    )
