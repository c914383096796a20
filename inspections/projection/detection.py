"""Broken wires as they are seen: never all of them, and never mended."""

from dataclasses import dataclass

import numpy as np

from inspections.projection import normal
from inspections.projection.arrays import Floats, Integers

DETECTIONS = np.array([1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7, 0.65, 0.6, 0.5])
_MEANS = np.concatenate([np.linspace(0.0, 4.0, 17), np.linspace(5.0, 60.0, 23)])
"""Expected numbers of broken wires for which the fall of two looks is worked out."""
_EXPECTED_MAXIMUM = np.array([0.0, 0.0, 0.56, 0.85, 1.03, 1.16, 1.27, 1.35, 1.42])
"""Of n normal deviates (tables of order statistics; n = 0 and 1 have none)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """Counts at visits (N,), sorted by rope and clock; ropes (S,) on machines.

    clock : since the rope was hung, > 0; count : broken wires seen, worst lay
    bounds : (S + 1,); machine : (S,) 0 .. machines - 1
    """

    clock: Floats
    count: Floats
    bounds: Integers
    machine: Integers
    machines: int


def running_maximum(counts: Counts) -> Floats:
    """Return the highest count so far of each rope (N,): wires do not mend."""
    count = counts.count
    if count.size == 0:
        return count
    rope = np.repeat(np.arange(counts.machine.size), np.diff(counts.bounds))
    step = float(count.max()) + 1.0
    highest: Floats = np.maximum.accumulate(count + rope * step) - rope * step
    return highest


def previous(values: Floats, counts: Counts) -> Floats:
    """Return the value before each of a rope's visits, 0 before the first."""
    before = np.zeros(values.size)
    before[1:] = values[:-1]
    first = counts.bounds[:-1][np.diff(counts.bounds) > 0]
    before[first] = 0.0
    return before


def detected_share(counts: Counts, rope: Integers, exponent: float) -> float:
    """Return the share of broken wires an inspection finds, from counts that fall.

    A count falls only where wires were missed: over pairs of visits the expected fall
    of two binomial counts of a Poisson number is matched to what is seen. How many
    there were is taken from the rope's course, not from the pair itself.
    """
    inner = np.ones(counts.count.size, dtype=np.bool_)
    inner[counts.bounds[:-1][np.diff(counts.bounds) > 0]] = False
    at = np.flatnonzero(inner)
    if at.size == 0:
        return 1.0
    highest = running_maximum(counts)
    fall = float(np.maximum(counts.count[at - 1] - counts.count[at], 0.0).sum())
    if fall == 0.0:
        return 1.0
    last = counts.bounds[rope[at] + 1] - 1
    pace = highest[last] / counts.clock[last] ** exponent
    level = pace * counts.clock[at - 1] ** exponent
    rise = pace * counts.clock[at] ** exponent - level
    expected = [_expected_fall(level, rise, p) for p in DETECTIONS]
    return float(np.interp(fall, expected, DETECTIONS))


def _expected_fall(level: Floats, rise: Floats, detection: float) -> float:
    """Return the sum of expected falls; level, rise : of counts seen so often."""
    still = np.interp(level / detection, _MEANS, _falls(detection))
    deviation = np.sqrt(2.0 * level * (1.0 - detection) + rise) + 1e-9
    z = rise / deviation
    risen = np.exp(-0.5 * z * z) - z * normal.cumulative(-z) / 0.3989422804
    # the rise widens what two looks differ by, and lifts the second of them
    wider = deviation / np.sqrt(2.0 * level * (1.0 - detection) + 1e-9)
    fall = still * np.minimum(wider, 3.0) * np.maximum(risen, 0.0)
    return float(np.sum(np.where(level > 0, fall, 0.0)))


def _falls(detection: float) -> Floats:
    """Return E max(X - Y, 0) for each of ``_MEANS``: X, Y two looks at the same wires.

    Of a Poisson number m of wires, those that only one look finds are two independent
    Poisson numbers of mean m·p·(1 - p) (thinning); X - Y is their difference.
    """
    mean = _MEANS * detection * (1.0 - detection)
    number = np.arange(60)
    logs = np.cumsum(np.log(np.maximum(number, 1)))
    chance = np.exp(
        number[:, None] * np.log(np.maximum(mean, 1e-12)) - mean - logs[:, None]
    )
    more = np.maximum(number[:, None] - number[None, :], 0).astype(np.float64)
    fall: Floats = np.einsum("im,ij,jm->m", chance, more, chance)
    return fall


def true_count(
    seen: Floats, counts: Counts, detection: float, exponent: float
) -> Floats:
    """Return the expected true count behind the highest count seen (S,).

    One look finds p·K; the best of n looks about √(K·p·(1-p)) times the expected
    maximum of n normal deviates more. Looks count while the rope was nearly as it is.
    """
    if detection >= 1.0:
        return seen
    size = counts.machine.size
    visits = np.diff(counts.bounds)
    rope = np.repeat(np.arange(size), visits)
    last = np.maximum(counts.bounds[1:] - 1, 0)
    now = counts.clock[last] if counts.clock.size else np.ones(size)
    recent = counts.clock >= 0.9 ** (1.0 / exponent) * now[rope]
    looks = np.minimum(np.bincount(rope[recent], minlength=size), 8)
    full = np.full(size, 0.0)
    full[: seen.size] = seen if seen.size == size else 0.0
    if seen.size != size:
        full[visits > 0] = seen
    true = full / detection
    spread = np.sqrt(np.maximum(true, 0.0) * detection * (1.0 - detection))
    found = detection * true + _EXPECTED_MAXIMUM[looks] * spread
    behind: Floats = full + np.maximum(true - found, 0.0)
    return behind
