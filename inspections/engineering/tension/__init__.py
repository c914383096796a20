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
from inspections.engineering.tension.wave import (
    AgainstMasses,
    WaveTension,
    against_masses,
    tension_from_wave,
)

__all__ = [
    "AgainstMasses",
    "Feed",
    "PairVerdict",
    "TensionSpread",
    "TensionSwing",
    "WaveTension",
    "against_masses",
    "feed_difference",
    "judge_pair",
    "radius_from_diameter_mm",
    "range_quantile",
    "slip_onset_n",
    "tension_from_feed_n",
    "tension_from_wave",
    "tension_spread",
    "tension_swing",
]
