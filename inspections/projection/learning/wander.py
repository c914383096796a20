"""How much of the scatter is gauge, how much the rate itself: noise, drift and bursts.

Each series is filtered under every combination of a small grid, and so is the mean of
each installation's series (``together``): a drift is common to them, bursts and reading
noise are not. The likelihoods of a class are added up. Series of one installation are
not independent, and their mean is told already: their sum is tempered.
"""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.fitting import Fit
from inspections.projection.learning.filtering import Courses, HyperGrid, log_likelihood
from inspections.projection.learning.together import mean_courses

NOISE = np.array([0.80, 0.90, 1.0, 1.11, 1.25])
DRIFT = np.array([0.0, 0.03, 0.06, 0.08, 0.10, 0.12, 0.145, 0.175, 0.21, 0.25, 0.35])
BURST = np.array([0.0, 0.1, 0.15, 0.2, 0.27, 0.35, 0.5, 0.75])
_FEWEST_READINGS, _MOST_READINGS = 3, 200
_FEWEST_SERIES = 30
"""A class with fewer series of three readings has their installations count too."""
_FLAGGED = np.float32(1e3)
"""A flagged reading has this many times the variance: as good as left out."""
_SINGLY = 0.5
"""Weight of the series one by one, beside that of their means."""
_BORROWED = 0.3
"""Weight of the other classes' evidence in a class: one fleet, one use, one people."""
_PRIOR_DRIFT = 0.10
_PRIOR_BURST = 0.25
_BURST_PENALTY = 3.0
"""Log odds against any bursts: small ones look like drift near at hand but do not grow
with the horizon, so they are believed only when the fleet is clear about them."""


def grid() -> HyperGrid:
    """Return every noise, drift and burst together (H,), each as a factor [-]."""
    noise, drift, burst = np.meshgrid(NOISE, DRIFT, BURST, indexing="ij")
    return HyperGrid(noise=noise.ravel(), drift=drift.ravel(), burst=burst.ravel())


@dataclass(frozen=True, slots=True, kw_only=True)
class LearntFactors:
    """Per class (C,): factor on the noise, drift and burst."""

    noise: Floats
    drift: Floats
    burst: Floats


def learn(
    *, fitted: Fit, visit: Integers, visit_share: Floats, per_class: int
) -> LearntFactors:
    """Return posterior means over the grid.

    visit, visit_share : as for ``together.mean_courses``
    per_class : about so many series and so many installations of a class are looked at
    """
    over, classes = grid(), visit_share.size
    tree = fitted.chunk.hierarchy
    together = mean_courses(fitted=fitted, visit=visit, visit_share=visit_share)
    prior = (
        -over.drift / _PRIOR_DRIFT
        - over.burst / _PRIOR_BURST
        - _BURST_PENALTY * (over.burst > 0)
        - 0.5 * (np.log(over.noise) / 0.35) ** 2
    )
    evidence = np.zeros((classes, prior.size))
    for number in range(classes):
        each = _own_courses(fitted, tree.class_of_series == number)
        mean = together.select((tree.class_of_epoch == number) & _enough(together))
        evidence[number] = _SINGLY * _told(each, over, per_class)
        evidence[number] += _told(mean, over, per_class)
    wander = _over_noise(evidence.sum(axis=0)) - _over_noise(evidence)
    score = prior + evidence + _BORROWED * wander
    share = np.exp(score - score.max(axis=1, keepdims=True))
    share /= share.sum(axis=1, keepdims=True)
    return LearntFactors(
        noise=np.exp(share @ np.log(over.noise)),
        drift=np.sqrt(share @ over.drift**2),
        burst=np.sqrt(share @ over.burst**2),
    )


def _told(courses: Courses, over: HyperGrid, most: int) -> Floats:
    """Return the log likelihood (G,) of courses drawn at even steps, added up."""
    stride = max(1, courses.count.size // most)
    drawn = courses.select(np.arange(0, courses.count.size, stride))
    total: Floats = log_likelihood(drawn, over).sum(axis=1, dtype=np.float64)
    return total


def _own_courses(fitted: Fit, chosen: Flags) -> Courses:
    """Return the courses of the chosen series by themselves.

    The installation is left out unless few have three readings without it: how well
    parts were made and bedded in is learnt elsewhere, and an error there would look
    like drift.
    """
    observed = fitted.chunk.observed
    counts = observed.layout.counts
    count = np.minimum(counts - observed.installed, _MOST_READINGS)
    if np.count_nonzero(chosen & (count >= _FEWEST_READINGS)) < _FEWEST_SERIES:
        count = np.minimum(counts, _MOST_READINGS)
    courses = Courses(
        age=observed.age,
        level=observed.wear,
        variance=observed.variance * (1 + _FLAGGED * fitted.flagged),
        told=~fitted.flagged,
        begin=observed.layout.first + counts - count,
        count=count,
        rate=np.exp(fitted.inferred.pooled.mean),
        burst_share=np.ones(counts.size),
    )
    return courses.select(chosen & _enough(courses))


def _enough(courses: Courses) -> Flags:
    return courses.count >= _FEWEST_READINGS


def _over_noise(evidence: Floats) -> Floats:
    """Return the best evidence for each drift and burst whatever the noise."""
    shape = (*evidence.shape[:-1], NOISE.size, DRIFT.size * BURST.size)
    best = evidence.reshape(shape).max(axis=-2, keepdims=True)
    return np.broadcast_to(best, shape).reshape(evidence.shape)
