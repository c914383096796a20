"""Gauges and people that read off the others: learnt with the fleet, and counted in.

An effect is relative to the other gauges and people, so it never makes a level
shallower. Where one reads too shallow what it read counts as deeper, for the dates
planned on, until the gauge is checked against a standard; what was read after that
counts as read.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from inspections.forecasts import clocks, copying, series, shapes
from inspections.forecasts.knowledge import Knowledge
from inspections.forecasts.loading import Tracks
from inspections.models import Hyperparameters
from inspections.projection.learning import readers as kernel
from inspections.projection.learning.readers import NOBODY

# What is read with one kind of hand gauge in one way: effects are learnt for each.
QUANTITIES = ("seat depth", "rope diameter")

_BY = {"id": "int8", "gauge": "int8", "person": "int8", "checked": "bool"}
_READ_BY = """
SELECT p.id, coalesce(r.gauge_id, 0), v.membership_id,
       coalesce(p.taken_at::date >= g.checked_on, false)
FROM inspections_trackpoint p JOIN inspections_visit v ON v.id = p.visit_id
LEFT JOIN inspections_reading r ON r.id = p.readings[1]
LEFT JOIN inspections_gauge g ON g.id = r.gauge_id
WHERE p.machine_id = ANY(%s::bigint[])
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReaderEffect:
    """How far a gauge or a person reads off the others, in one quantity.

    gauge, person : its id, 0 for the other kind; checked : readings after the gauge's
        last check against a standard
    mm : so much too deep it reads, too shallow if negative; sd_mm : standard error
    places : places that another of its kind has read too; off : beyond doubt
    """

    quantity: str
    gauge: int
    person: int
    checked: bool
    mm: float
    sd_mm: float
    places: int
    off: bool

    @property
    def counts(self) -> bool:
        """Whether what it read counts as deeper or less sure."""
        return self.off and not self.checked


def of_row(row: Hyperparameters | None) -> list[ReaderEffect]:
    """Return the effects of a stored learning, none where there are none yet."""
    record: Mapping[str, Any] = row.record if row else {}
    return [ReaderEffect(**each) for each in record.get("readers", [])]


def to_record(effects: Sequence[ReaderEffect]) -> list[dict[str, Any]]:
    """Return effects as JSON."""
    return [asdict(each) for each in effects]


def learn(
    *, tracks: Tracks, counters: clocks.Counters, known: Knowledge
) -> list[ReaderEffect]:
    """Return the effect of everybody and every gauge that has read tracks."""
    by = _read_by(tracks)
    found: list[ReaderEffect] = []
    for quantity in QUANTITIES:
        of_class = np.array([name.startswith(quantity) for name in series.CLASSES])
        number = np.minimum(tracks.class_number, of_class.size - 1)
        chosen = of_class[number] & (tracks.class_number < of_class.size)
        if bool(chosen.any()):
            found += _learn(tracks.select(chosen), counters, known, by, quantity)
    return found


def _learn(
    tracks: Tracks,
    counters: clocks.Counters,
    known: Knowledge,
    by: dict[str, np.ndarray],
    quantity: str,
) -> list[ReaderEffect]:
    clock = clocks.clock(tracks=tracks, typical=known.typical_trips, found=counters)
    made = shapes.shape(tracks=tracks, clock=clock)
    place = np.searchsorted(by["id"], tracks.point_id)
    gauge = 2 * by["gauge"][place] + by["checked"][place]
    gauges, gauge_of = np.unique(gauge[gauge > 1], return_inverse=True)
    people, person_of = np.unique(by["person"][place], return_inverse=True)
    gauge_number = np.full(gauge.size, NOBODY)
    gauge_number[gauge > 1] = gauge_of
    effects = kernel.learn(
        readings=made.arranged.readings,
        hierarchy=made.hierarchy,
        hyper=known.wear,
        readers=kernel.Readers(
            gauge=made.of_points(gauge_number, otherwise=NOBODY),
            person=made.of_points(person_of, otherwise=NOBODY),
            gauges=gauges.size,
            people=people.size,
        ),
    )
    keys = [(int(each) // 2, 0, bool(each % 2)) for each in gauges]
    keys += [(0, int(each), False) for each in people]
    return [
        ReaderEffect(
            quantity=quantity,
            gauge=key[0],
            person=key[1],
            checked=key[2],
            mm=float(effects.mm[at]),
            sd_mm=float(effects.sd_mm[at]),
            places=int(effects.places[at]),
            off=bool(effects.off[at]),
        )
        for at, key in enumerate(keys)
    ]


def _read_by(tracks: Tracks) -> dict[str, np.ndarray]:
    ids = np.unique(tracks.machine).tolist()
    found = copying.read(_READ_BY, columns=_BY, values=[ids])
    order = np.argsort(found["id"], kind="stable")
    return {name: column[order] for name, column in found.items()}


def counted(tracks: Tracks, *, effects: Sequence[ReaderEffect]) -> Tracks:
    """Return tracks that say how much deeper, and less surely, points may be.

    What a gauge shows too much of wear takes nothing from what a person shows too
    little, nor the other way: until a check nobody knows which of the two is right.
    """
    if not tracks.point_id.size or not any(each.counts for each in effects):
        return tracks
    by = _read_by(tracks)
    place = np.searchsorted(by["id"], tracks.point_id)
    shift, variance = np.zeros((2, tracks.point_id.size))
    name = np.array([c.split(",")[0] for c in series.CLASSES] + [""])
    number = np.minimum(tracks.class_number, name.size - 1)[tracks.track]
    for each in effects:
        if not each.counts:
            continue
        is_theirs = (
            (by["gauge"][place] == each.gauge) & ~by["checked"][place]
            if each.gauge
            else by["person"][place] == each.person
        )
        is_theirs &= name[number] == each.quantity
        shift[is_theirs] += max(-each.mm, 0.0)
        variance[is_theirs] += each.sd_mm**2
    return replace(tracks, deeper=shift, doubt=np.sqrt(variance))
