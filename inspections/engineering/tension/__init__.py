"""The ropes of a set against each other: tension, feed, pairs of a double wrap."""

from inspections.engineering.tension.feed import (
    Feed,
    PairVerdict,
    feed_difference,
    judge_pair,
    radius_from_diameter_mm,
    slip_onset_n,
    tension_from_feed_n,
)
from inspections.engineering.tension.spread import (
    TensionSpread,
    TensionSwing,
    range_quantile,
    tension_spread,
    tension_swing,
)

__all__ = [
    "Feed",
    "PairVerdict",
    "TensionSpread",
    "TensionSwing",
    "feed_difference",
    "judge_pair",
    "radius_from_diameter_mm",
    "range_quantile",
    "slip_onset_n",
    "tension_from_feed_n",
    "tension_spread",
    "tension_swing",
]
