"""The planning date of machines whose wear runs ahead of its own earlier readings.

Beside the curve of ``planning`` stand dates that count on wear that speeds up: one of a
class that bends and wanders (``speeding.bent``), and the same curve at the rate that
the last visits have come to. As far as a machine runs ahead the earlier ones are
planned on. Where a limit lies below a hardened layer that is known, a third counts on
softer metal from there on (``layers``), and of a class that slows down with depth, or
wears in bursts, less good is believed than was learnt; parts that were read once are
planned at less of the chance. All of them fall when a last
level rises, and so does their mixture: never a later date for a worse reading, and none
later than without the guard.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np

from inspections.projection import layers, planning, speeding
from inspections.projection.arrays import Flags, Floats
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.planning import Planned

STILL_SLOWS = 0.9
"""Of the curvature of a class that slows down, so much is planned on. Wear that goes as
a power of time slows less and less with depth, and the learnt bend goes on as it did;
chosen on simulated fleets (``docs/forecasting.md``)."""
BURSTS = (0.05, 0.15)
DRIFT_BEHIND_BURSTS = 0.12
"""Bursts of a class [√year], and the drift of the log rate [1/√year] that is planned
on at the least where it has them. Near at hand either looks like the other, but drift
alone grows with the horizon, and what some hundred machines teach of it differs from
fleet to fleet; chosen on simulated fleets (``docs/forecasting.md``)."""
OWN_BURSTS = (0.1, 0.2)
OF_THE_CHANCE = 0.75
"""Bursts [√year] from which each part of a machine is planned at that share of the
chance asked for. They come to each part by itself, so that the earliest date of a
machine's parts has a chance for each; chosen on simulated fleets
(``docs/forecasting.md``)."""

READ_ONCE = 0.7
"""Share of the chance asked for at which each of several parts is planned that were
read once: the earliest date of a machine's parts has a chance for each, and what one
reading leaves unknown is not all common to them. Chosen on simulated fleets
(``docs/forecasting.md``)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Guarded:
    """years : (P, S) quantiles to plan on, none later than those of ``planning``
    earlier : (S,) some of them are earlier, because the machine's wear runs ahead
    softer : (S,) some are, because the limit lies below a hardened layer
    """

    years: Floats
    earlier: Flags
    softer: Flags


def earlier_of(one: Guarded, other: Guarded) -> Guarded:
    """Return the earlier dates of both; what moved either is said of them."""
    return Guarded(
        years=np.minimum(one.years, other.years),
        earlier=one.earlier | other.earlier,
        softer=one.softer | other.softer,
    )


def guard(case: Planned, *, planned: Floats, hyper: ClassHyperparameters) -> Guarded:
    """Return the quantiles to plan on; ``planned`` is what ``planning.plan`` gave.

    They do not rise when the last level of a series rises, all else held fixed.
    """
    years, softer = _below_layers(case, planned, hyper)
    years = _doubted(case, years, hyper)
    years = _read_once(case, years, hyper)
    years, earlier = _ahead(case, planned, years, hyper)
    return Guarded(years=years, earlier=earlier, softer=softer)


def _below_layers(
    case: Planned, planned: Floats, hyper: ClassHyperparameters
) -> tuple[Floats, Flags]:
    below = layers.met_below(case)
    if not below.any():
        return planned, below
    through = planning.plan(layers.counted(case, below), hyper=hyper)
    years = np.minimum(planned, through)
    softer: Flags = np.any(years < planned, axis=0)
    return years, softer


def _doubted(case: Planned, before: Floats, hyper: ClassHyperparameters) -> Floats:
    """Return the dates with those of classes of which less good is believed."""
    worse, bursts = doubted(hyper), _between(OWN_BURSTS, hyper.burst)
    differs = (worse.curvature != hyper.curvature) | (worse.drift != hyper.drift)
    differs |= bursts > 0.0
    of_series = differs[case.hierarchy.class_of_series]
    if case.wanted is not None:
        of_series &= case.wanted
    if not of_series.any():
        return before
    asked = case.probabilities
    less = tuple(OF_THE_CHANCE * each for each in asked)
    only = dataclasses.replace(case, wanted=of_series, probabilities=asked + less)
    years = planning.plan(only, hyper=worse)
    alone, shared = years[: len(asked)], years[len(asked) :]
    share = bursts[case.hierarchy.class_of_series]
    # nought times never
    with np.errstate(invalid="ignore"):
        between = (1.0 - share) * alone + share * shared
    between = np.where(share <= 0.0, alone, np.where(share >= 1.0, shared, between))
    return np.minimum(before, between)


def _read_once(case: Planned, before: Floats, hyper: ClassHyperparameters) -> Floats:
    """Return the dates, those of parts read once at less of the chance."""
    once = read_once(case)
    if not once.any():
        return before
    less = tuple(READ_ONCE * each for each in case.probabilities)
    only = dataclasses.replace(case, wanted=once, probabilities=less)
    years = planning.plan(only, hyper=hyper)
    years, _ = _below_layers(only, years, hyper)
    return np.minimum(before, _doubted(only, years, hyper))


def read_once(case: Planned) -> Flags:
    """Return the series (S,) of installations of which several are planned, none of
    them read more than once; whether a part was read a second time is no matter of
    what was read."""
    readings, epoch = case.readings, case.hierarchy.epoch_of_series
    epochs = case.hierarchy.epochs
    series = np.repeat(np.arange(readings.series_count), readings.counts)
    read = np.bincount(series[~readings.installation], minlength=epoch.size)
    planned = read > 0 if case.wanted is None else case.wanted & (read > 0)
    most = np.zeros(epochs, dtype=read.dtype)
    np.maximum.at(most, epoch, read)
    parts = np.bincount(epoch[planned], minlength=epochs)
    found: Flags = planned & ((most == 1) & (parts > 1))[epoch]
    return found


def _between(ends: tuple[float, float], values: Floats) -> Floats:
    """Return 0 up to the first end, 1 from the second on, and straight between."""
    found: Floats = np.clip((values - ends[0]) / (ends[1] - ends[0]), 0.0, 1.0)
    return found


def doubted(hyper: ClassHyperparameters) -> ClassHyperparameters:
    """Return classes that slow down less, and drift where they wear in bursts."""
    slows = hyper.curvature < 0.0
    drift = _between(BURSTS, hyper.burst) * DRIFT_BEHIND_BURSTS
    return dataclasses.replace(
        hyper,
        curvature=np.where(slows, STILL_SLOWS * hyper.curvature, hyper.curvature),
        drift=np.maximum(hyper.drift, drift),
    )


def _ahead(
    case: Planned, planned: Floats, before: Floats, hyper: ClassHyperparameters
) -> tuple[Floats, Flags]:
    """Return the dates with those of machines that run ahead, and which are earlier."""
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
        return before, ahead
    only = dataclasses.replace(case, wanted=ahead)
    bent = planning.plan(only, hyper=speeding.bent(hyper))[:, rows]
    even, years = planned[:, rows], before.copy()
    share, pace = found.share[rows], found.pace[rows]
    mixed = (1.0 - share) * even + share * np.minimum(even, bent)
    faster = np.where(even > 0.0, even / pace, even)
    years[:, rows] = np.minimum(years[:, rows], np.minimum(mixed, faster))
    earlier: Flags = np.any(years < before, axis=0)
    return years, earlier
