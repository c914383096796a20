"""What is known of each class of wear: learnt by a contractor, shared, or assumed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, fields, replace
from math import exp, log
from typing import Any

import numpy as np

from fleet.platform.database.tenancy import Scope
from inspections import versions
from inspections.forecasts import breaks, series
from inspections.models import Hyperparameters, SharedPrior
from inspections.projection import hyper
from inspections.projection.counts import CountClass
from inspections.projection.hyper import ClassHyperparameters as Wear

# What was learnt counts for the version that learnt it.
MODEL_VERSION = str(versions.FORECASTING)
# Our rule, no source: a fleet of this many machines weighs as much as what is shared.
WORTH_OF_PRIOR_MACHINES = 10.0
# A class is shared only if so many contractors have at least so many machines of it.
FEWEST_CONTRACTORS, FEWEST_MACHINES, MOST_WEIGHT = 3, 5, 500.0

# Breaks of the worst lay before any fleet has been learnt from; assumption, no source.
ASSUMED_BREAKS = CountClass(
    exponent=2.0,
    rate=0.08,
    machine_shape=4.0,
    rope_shape=10.0,
    detection=0.9,
    dispersion=1.5,
)
_COUNTED = ("readings", "machines")


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """Hyper-parameters by the order of `series.CLASSES`, broken wires by class name.

    typical_trips : trips a typical year, for the classes that run on trips
    rope_machines : machines each class of broken wires was learnt from
    factors : on the deviates of planning dates, by class; not of a record but of scores
    not_fitted : classes of worn lengths that the model does not fit
    """

    wear: Wear
    broken: Mapping[str, CountClass]
    typical_trips: Mapping[str, float] = field(default_factory=dict)
    rope_machines: Mapping[str, float] = field(default_factory=dict)
    factors: Mapping[str, float] = field(default_factory=dict)
    not_fitted: frozenset[str] = frozenset()


def assumed() -> Knowledge:
    """Return what a fleet begins with where nobody has learnt anything yet."""
    rates = np.array(list(series.STARTING_RATES.values()))
    return Knowledge(
        wear=hyper.starting(rate_per_clock=rates),
        broken=dict.fromkeys(breaks.CLASSES, ASSUMED_BREAKS),
    )


def shared() -> Knowledge:
    """Return the shared prior of this model version, else what is assumed."""
    row = SharedPrior.objects.filter(model_version=MODEL_VERSION).first()
    return from_record(row.record) if row else assumed()


def latest(*, scope: Scope) -> tuple[Knowledge, Hyperparameters | None]:
    """Return what a contractor's fleet has taught and its row, else what is shared."""
    row = (
        Hyperparameters.objects.within(scope)
        .filter(model_version=MODEL_VERSION)
        .first()
    )
    return (from_record(row.record), row) if row else (shared(), None)


def to_record(known: Knowledge) -> dict[str, Any]:
    """Return what is known as JSON, with the names of its classes."""
    return {
        "classes": list(series.CLASSES),
        "wear": hyper.to_record(known.wear),
        "broken": {name: asdict(each) for name, each in known.broken.items()},
        "typical_trips": dict(known.typical_trips),
        "rope_machines": dict(known.rope_machines),
        "not_fitted": sorted(known.not_fitted),
    }


def from_record(record: Mapping[str, Any]) -> Knowledge:
    """Return what a record says; a class that it does not name is as assumed.

    Raises ValueError if the record is of another form or not finite.
    """
    found, base = hyper.from_record(record["wear"]), assumed()
    names: list[str] = record["classes"]
    columns = {}
    for each in fields(Wear):
        column = getattr(base.wear, each.name).copy()
        for place, name in enumerate(series.CLASSES):
            if name in names:
                column[place] = getattr(found, each.name)[names.index(name)]
        columns[each.name] = column
    broken = {
        name: CountClass(**record["broken"][name])
        if name in record["broken"]
        else base.broken[name]
        for name in breaks.CLASSES
    }
    return Knowledge(
        wear=Wear(**columns),
        broken=broken,
        typical_trips=record["typical_trips"],
        rope_machines=record["rope_machines"],
        not_fitted=frozenset(record.get("not_fitted", ())),
    )


def shrunk(*, own: Knowledge, prior: Knowledge) -> Knowledge:
    """Return what a fleet taught, drawn to the prior as far as the fleet is small.

    Class by class the fleet's weight is n/(n + 10) for n machines: our rule.
    """
    weight = own.wear.machines / (own.wear.machines + WORTH_OF_PRIOR_MACHINES)
    columns = {}
    for each in fields(Wear):
        mine, theirs = getattr(own.wear, each.name), getattr(prior.wear, each.name)
        share = weight[:, None] if mine.ndim == 2 else weight
        columns[each.name] = (
            mine if each.name in _COUNTED else share * mine + (1 - share) * theirs
        )
    broken = {}
    for name, mine in own.broken.items():
        count = own.rope_machines.get(name, 0.0)
        own_share = count / (count + WORTH_OF_PRIOR_MACHINES)
        broken[name] = _mean([(own_share, mine), (1 - own_share, prior.broken[name])])
    return replace(own, wear=Wear(**columns), broken=broken)


def pooled(*, fleets: Sequence[Knowledge]) -> Knowledge:
    """Return the shared prior of fleets; a class of too few contractors as assumed."""
    base = assumed()
    columns = {f.name: getattr(base.wear, f.name).copy() for f in fields(Wear)}
    for place in range(len(series.CLASSES)):
        some = [k for k in fleets if k.wear.machines[place] >= FEWEST_MACHINES]
        if len(some) < FEWEST_CONTRACTORS:
            continue
        weights = np.array([min(k.wear.machines[place], MOST_WEIGHT) for k in some])
        for name, column in columns.items():
            values = np.array([getattr(k.wear, name)[place] for k in some])
            column[place] = np.average(values, axis=0, weights=weights)
    # Neither tells how large a contractor is.
    for name in _COUNTED:
        columns[name] = np.zeros(len(series.CLASSES))
    broken = dict(base.broken)
    for name in breaks.CLASSES:
        counted = [(k.rope_machines.get(name, 0.0), k.broken[name]) for k in fleets]
        enough = [(min(n, MOST_WEIGHT), k) for n, k in counted if n >= FEWEST_MACHINES]
        if len(enough) >= FEWEST_CONTRACTORS:
            broken[name] = _mean(enough)
    return Knowledge(wear=Wear(**columns), broken=broken)


def _mean(weighted: Sequence[tuple[float, CountClass]]) -> CountClass:
    """Return the weighted mean of classes of broken wires.

    Logarithm of the rate and exponent together, so that the logarithm of the breaks
    at any age is the mean too; shapes by their logarithm.
    """
    total = sum(weight for weight, _ in weighted)

    def mean(values: Iterable[float]) -> float:
        pairs = zip((weight for weight, _ in weighted), values, strict=True)
        return sum(weight * value for weight, value in pairs) / total

    return CountClass(
        exponent=mean(each.exponent for _, each in weighted),
        rate=exp(mean(log(each.rate) for _, each in weighted)),
        machine_shape=exp(mean(log(each.machine_shape) for _, each in weighted)),
        rope_shape=exp(mean(log(each.rope_shape) for _, each in weighted)),
        detection=mean(each.detection for _, each in weighted),
        dispersion=mean(each.dispersion for _, each in weighted),
    )
