"""The planning date of machines whose wear runs ahead of its own earlier readings.

Beside the curve of ``planning`` stand two that count on wear that speeds up: one of a
class that bends and wanders (``speeding.bent``), and the same curve at the rate that
the last visits have come to. As far as a machine runs ahead the earlier ones are
planned on. All of them fall when a last level rises, and so does their mixture: never a
later date for a worse reading, and none later than without the guard.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection import planning, speeding
from inspections.projection.arrays import Flags, Floats
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.planning import Planned


@dataclass(frozen=True, slots=True, kw_only=True)
class Guarded:
    """years : (P, S) quantiles to plan on, none later than those of ``planning``
    earlier : (S,) some of them are earlier, because the machine's wear runs ahead
    """

    years: Floats
    earlier: Flags


def guard(case: Planned, *, planned: Floats, hyper: ClassHyperparameters) -> Guarded:
    """Return the quantiles to plan on; ``planned`` is what ``planning.plan`` gave.

    They do not rise when the last level of a series rises, all else held fixed.
    """
    found = speeding.speeding(
        readings=case.readings,
        hierarchy=case.hierarchy,
        limits=case.limits,
        known_installation=case.known_installation,
        hyper=hyper,
        confirmed=case.confirmed,
    )
    ahead = (found.share > 0.0) & np.isfinite(planned).all(axis=0)
    if case.wanted is not None:
        ahead &= case.wanted
    rows = np.flatnonzero(ahead)
    if rows.size == 0:
        return Guarded(years=planned, earlier=ahead)
    only = dataclasses.replace(case, wanted=ahead)
    bent = planning.plan(only, hyper=speeding.bent(hyper))[:, rows]
    even, years = planned[:, rows], planned.copy()
    share, pace = found.share[rows], found.pace[rows]
    mixed = (1.0 - share) * even + share * np.minimum(even, bent)
    years[:, rows] = np.minimum(mixed, np.where(even > 0.0, even / pace, even))
    earlier: Flags = np.any(years < planned, axis=0)
    return Guarded(years=years, earlier=earlier)
