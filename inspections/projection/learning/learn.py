"""Weekly learning: hyper-parameters of every class from a fleet.

A few thousand series per class say as much as a million, so whole machines are drawn
at even steps; every quantity is then learnt in turn, a few rounds over.
"""

import dataclasses

import numpy as np

from inspections.projection import fitting
from inspections.projection.arrays import Flags, Floats, Integers
from inspections.projection.fitting import Fit
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning import bedding, profile, rates, visits, wander
from inspections.projection.limits import Limits
from inspections.projection.observations import in_runs
from inspections.projection.series import Readings

ROUNDS = 5
RATE_STEPS = 4
MACHINES_PER_CLASS = 2_000
WANDER_SERIES_PER_CLASS = 600


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class _Sample:
    readings: Readings
    hierarchy: Hierarchy
    limit_mm: Floats
    known: Flags
    confirmed: Flags | None

    def fit(self, hyper: ClassHyperparameters) -> Fit:
        return fitting.fit(
            readings=in_runs(self.readings),
            hierarchy=self.hierarchy,
            limit_mm=self.limit_mm,
            known_installation=self.known,
            hyper=hyper,
            bends=True,
            confirmed=self.confirmed,
        )


def learn(
    *,
    readings: Readings,
    hierarchy: Hierarchy,
    limits: Limits,
    known_installation: Flags,
    hyper: ClassHyperparameters,
    machines_per_class: int = MACHINES_PER_CLASS,
    confirmed: Flags | None = None,
) -> ClassHyperparameters:
    """Return hyper-parameters learnt from this fleet, beginning at ``hyper``.

    Arguments as for ``forecasting.forecast``. Series without readings or limit are
    left out; without any usable series ``hyper`` comes back as it was. Should a round
    end in numbers that are not finite, the round before it stands.
    """
    hierarchy.check(series_count=readings.series_count, class_count=hyper.classes)
    usable = limits.usable & (readings.counts > 0)
    drawn = _drawn(hierarchy.class_of_machine, machines_per_class)
    chosen = np.flatnonzero(usable & drawn[hierarchy.machine_of_series])
    if chosen.size == 0:
        return hyper
    sample = _Sample(
        readings=readings.select(chosen=chosen),
        hierarchy=hierarchy.select(chosen=chosen),
        limit_mm=limits.limit_mm[chosen],
        known=known_installation[chosen],
        confirmed=None if confirmed is None else confirmed[readings.at(chosen=chosen)],
    )
    # wild levels may overflow on the way: the finished numbers decide, not the steps
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        begun = _begin(sample, hyper)
        hyper = begun if _finite(begun) else hyper
        for number in range(ROUNDS):
            found = _round(sample, hyper, last=number == ROUNDS - 1)
            if not _finite(found):
                break
            hyper = found
    return _counted(sample, hyper)


def _begin(sample: _Sample, hyper: ClassHyperparameters) -> ClassHyperparameters:
    """Give a common curvature the first word: drift could explain it away.

    Later rounds weigh it against the drift found, and drop it if drift suffices.
    """
    steady = dataclasses.replace(
        hyper, drift=np.full(hyper.classes, 0.02), burst=np.zeros(hyper.classes)
    )
    for _ in range(RATE_STEPS):
        fitted = sample.fit(steady)
        steady = rates.step(fitted=fitted, hyper=steady)
    return profile.step(fitted=fitted, hyper=steady)


def _round(
    sample: _Sample, hyper: ClassHyperparameters, *, last: bool
) -> ClassHyperparameters:
    """One turn over all quantities; the last leaves the profile as the rates saw it."""
    installation = sample.readings.installation
    for _ in range(RATE_STEPS):
        fitted = sample.fit(hyper)
        hyper = rates.step(fitted=fitted, hyper=hyper)
        hyper = bedding.step(fitted=fitted, installation=installation, hyper=hyper)
    learnt = wander.learn(
        fitted=fitted,
        visit=sample.readings.visit,
        visit_share=hyper.visit_share,
        per_class=WANDER_SERIES_PER_CLASS,
    )
    share = visits.shared_noise(
        fitted=fitted,
        visit=sample.readings.visit,
        installation=installation,
        classes=hyper.classes,
    )
    hyper = dataclasses.replace(
        hyper,
        noise_scale=hyper.noise_scale * learnt.noise,
        drift=learnt.drift,
        burst=learnt.burst,
        visit_share=share,
    )
    return hyper if last else profile.step(fitted=fitted, hyper=hyper)


def _finite(hyper: ClassHyperparameters) -> bool:
    return all(
        bool(np.all(np.isfinite(getattr(hyper, field.name))))
        for field in dataclasses.fields(hyper)
    )


def _drawn(class_of_machine: Integers, most: int) -> Flags:
    """Choose at most about ``most`` machines of each class, at even steps."""
    drawn = np.zeros(class_of_machine.size, dtype=np.bool_)
    for number in np.unique(class_of_machine):
        of = np.flatnonzero(class_of_machine == number)
        drawn[of[:: max(1, of.size // most)]] = True
    return drawn


def _counted(sample: _Sample, hyper: ClassHyperparameters) -> ClassHyperparameters:
    tree = sample.hierarchy
    readings = np.bincount(
        tree.class_of_series, weights=sample.readings.counts, minlength=hyper.classes
    )
    machines = np.bincount(tree.class_of_machine, minlength=hyper.classes)
    return dataclasses.replace(
        hyper,
        readings=readings.astype(np.float64),
        machines=machines.astype(np.float64),
    )
