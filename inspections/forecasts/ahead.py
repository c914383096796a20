"""The dates planned on: the curve of each class, as far out as its misses ask."""

from dataclasses import replace

import numpy as np

from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import CLASSES
from inspections.projection import adapting, guarding, planning
from inspections.projection.arrays import Floats
from inspections.projection.guarding import Guarded
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning import fitting_class
from inspections.projection.planning import Planned


def factors(known: Knowledge, class_number: np.ndarray) -> Floats:
    """Return the factor on planning deviates of tracks of these classes (S,).

    A class that the model does not fit has its own least factor.
    """
    of_class = np.array(
        [
            max(
                known.factors.get(name, 1.0),
                fitting_class.WIDENED if name in known.not_fitted else 0.0,
            )
            for name in CLASSES
        ]
    )
    found: Floats = of_class[class_number]
    return found


def plan(
    case: Planned, *, factor: Floats, hyper: ClassHyperparameters
) -> tuple[Floats, Guarded]:
    """Return the curve's quantiles (P, S), and the same guarded (``guarding``).

    factor : (S,) a quantile is asked for at the chance whose deviate lies so many times
    as far out. A chance that is held fixed keeps the curve one that never rises with a
    worse reading, which a stretched distance to P50 would not.
    """
    count = case.readings.series_count
    wanted = np.ones(count, dtype=np.bool_) if case.wanted is None else case.wanted
    years = np.full((len(case.probabilities), count), np.inf)
    guarded = Guarded(
        years=years.copy(),
        earlier=np.zeros(count, dtype=np.bool_),
        softer=np.zeros(count, dtype=np.bool_),
    )
    for each in np.unique(factor[wanted]).tolist():
        chosen = wanted & (factor == each)
        asked = tuple(adapting.stricter(p, each) for p in case.probabilities)
        of_factor = replace(case, wanted=chosen, probabilities=asked)
        curve = planning.plan(of_factor, hyper=hyper)
        held = guarding.guard(of_factor, planned=curve, hyper=hyper)
        years[:, chosen] = curve[:, chosen]
        guarded.years[:, chosen] = held.years[:, chosen]
        guarded.earlier[chosen] = held.earlier[chosen]
        guarded.softer[chosen] = held.softer[chosen]
    return years, guarded
