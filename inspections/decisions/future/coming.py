"""Parts yet to come: how long each group of a machine runs once it was renewed.

A place yet to come is log-normal around its median life (`renewed`) with the spread of
a rate that nobody has read yet. All of it but the draws is the same for every renewal,
so it is worked out once a machine, for all places of a group together.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inspections.decisions.future import knowing
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.lives import NEVER, Ends, class_of, learning_of
from inspections.decisions.future.renewed import has_life, median_life
from inspections.decisions.future.wearing import GROUP_OF, EndsTogether
from inspections.decisions.records import AheadLimit

SHORTEST = 0.1
"""Years; a part yet to come is taken to run at least this long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacesToCome:
    """Places (K) of one group that wear again from new.

    life, spread : median years, and deviation of the logarithm
    still_open : share of the spread that is open when work is ordered
    safety : whether the machine stands from the limit on
    """

    group: EndsTogether
    classes: tuple[str, ...]
    life: Floats
    spread: Floats
    still_open: Floats
    safety: NDArray[np.bool_]


def places_to_come(
    *,
    limits: Sequence[AheadLimit],
    deviates: Deviates,
    unevenness: float,
    lead_years: float = 0.0,
) -> PlacesToCome | None:
    """Return the places of a group's limits whose life is known, None for none."""
    known = [limit for limit in limits if has_life(limit)]
    if not known:
        return None
    classes = tuple(map(class_of, known))
    pairs = list(zip(known, classes, strict=True))
    lives = [median_life(limit=x, of=deviates.learnt.of(name)) for x, name in pairs]
    each = [learning_of(limit, deviates, unevenness) for limit in known]
    life = np.array(lives)
    spread = np.array([learning.spread for learning in each])
    planned = life[:, None] * np.exp(-spread[:, None] * (knowing.P2 * knowing.SHARES))
    return PlacesToCome(
        group=GROUP_OF[known[0].quantity],
        classes=classes,
        life=life,
        spread=spread,
        still_open=knowing.shares_open(
            used=np.zeros(life.size),
            middle=life,
            planned=planned,
            lead_years=lead_years,
            learning=each,
        ),
        safety=np.array([limit.safety for limit in known]),
    )


def later_ends(
    *,
    places: PlacesToCome | None,
    machine_key: int,
    segment: int,
    deviates: Deviates,
) -> Ends:
    """Return how long a group runs after its first, second, ... renewal."""
    never = np.full(deviates.draws, NEVER)
    if places is None:
        return Ends(met=never, stops=never, planned=never)
    z, read = (
        deviates.of_places(
            machine_key=machine_key,
            group=places.group,
            segment=segment,
            classes=places.classes,
            of=of,
        )
        for of in (0, 1)
    )
    life, spread = places.life[:, None], places.spread[:, None]
    told = knowing.told(z, read, places.still_open[:, None])
    at = np.maximum(life * np.exp(spread * z), SHORTEST)
    planned = (life * np.exp(spread * told)).min(axis=0)
    stops = at[places.safety].min(axis=0, initial=NEVER)
    return Ends(
        met=np.minimum(at.min(axis=0), NEVER),
        stops=stops,
        planned=np.maximum(np.minimum(planned, NEVER), SHORTEST),
    )
