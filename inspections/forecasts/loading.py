"""Tracks and their points out of the database, as the arrays that the model takes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from django.db import connection

from inspections.forecasts import breaks, copying, series
from inspections.projection.hierarchy import Hierarchy

CLASSES = series.CLASSES + breaks.CLASSES
FIRST_COUNT_CLASS = len(series.CLASSES)
TRACKS_A_CHUNK = 20_000
DAYS_A_YEAR = 365.25
DAY_S = 86_400.0

_TRACK = {
    "id": "int8",
    "machine": "int8",
    "class_number": "int4",
    "begun": "date",
    "open": "bool",
    "safety": "bool",
    "tolerance": "float8",
    "limit_level": "float8",
    "limit_sd": "float8",
    "layer": "float8",
}
_POINT = {
    "id": "int8",
    "track": "int8",
    "visit": "int8",
    "taken": "float8",
    "level": "float8",
    "sd": "float8",
    "confirmed": "bool",
    "at_least": "bool",
    "counts_as": "float8",
}
# Row-level security narrows both to the contractor of the transaction.
TRACKS_QUERY = """
SELECT id, machine_id, array_position(%s::text[], class_name::text) - 1, begun_on,
       closed_on IS NULL, safety, coalesce(tolerance, 'NaN'),
       coalesce(limit_level, 'NaN'), limit_sd, coalesce(layer, 'NaN')
FROM inspections_weartrack
WHERE machine_id = ANY(%s::bigint[]) AND class_name = ANY(%s::text[])
ORDER BY machine_id, 3, begun_on, id
"""
POINTS_QUERY = """
SELECT id, track_id, visit_id, extract(epoch FROM taken_at)::float8, level, sd,
       confirmed, at_least, coalesce(counts_as, level)
FROM inspections_trackpoint
WHERE machine_id = ANY(%s::bigint[])
ORDER BY machine_id, track_id, taken_at
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tracks:
    """Tracks (T,) sorted by machine, class and beginning, with their points (P,).

    id, machine, class_number : (T,); the latter counts in ``CLASSES``
    begun : (T,) seconds since 1970; open, safety : (T,)
    tolerance, limit_level, layer : (T,) NaN where not known; limit_sd : (T,)
    point_id, visit, taken, level, sd, confirmed, at_least, counts_as : (P,); taken in
        seconds since 1970; at_least where the level is only known to be passed
    deeper, doubt : (P,) how much deeper a level may be by the gauge or person that read
        it, and the standard deviation of that; 0 where nothing is found
    track : (P,) position in the tracks
    """

    id: np.ndarray
    machine: np.ndarray
    class_number: np.ndarray
    begun: np.ndarray
    open: np.ndarray
    safety: np.ndarray
    tolerance: np.ndarray
    limit_level: np.ndarray
    limit_sd: np.ndarray
    layer: np.ndarray
    point_id: np.ndarray
    track: np.ndarray
    visit: np.ndarray
    taken: np.ndarray
    level: np.ndarray
    sd: np.ndarray
    confirmed: np.ndarray
    at_least: np.ndarray
    counts_as: np.ndarray
    deeper: np.ndarray
    doubt: np.ndarray

    @property
    def count(self) -> int:
        return int(self.id.size)

    def select(self, chosen: np.ndarray) -> "Tracks":
        """Return the chosen tracks (a mask) with their points."""
        place = np.cumsum(chosen) - 1
        kept = chosen[self.track] if self.track.size else self.track.astype(bool)
        of_tracks = {name: getattr(self, name)[chosen] for name in _OF_TRACK}
        of_points = {name: getattr(self, name)[kept] for name in _OF_POINT}
        return Tracks(**of_tracks, **of_points, track=place[self.track[kept]])


_OF_TRACK = (
    "id",
    "machine",
    "class_number",
    "begun",
    "open",
    "safety",
    "tolerance",
    "limit_level",
    "limit_sd",
    "layer",
)
_OF_POINT = (
    "point_id",
    "visit",
    "taken",
    "level",
    "sd",
    "confirmed",
    "at_least",
    "counts_as",
    "deeper",
    "doubt",
)


def load(*, machine_ids: Sequence[int]) -> Tracks:
    """Return the tracks of some machines, closed ones included."""
    names, ids = list(CLASSES), list(machine_ids)
    tracks = copying.read(TRACKS_QUERY, columns=_TRACK, values=[names, ids, names])
    points = copying.read(POINTS_QUERY, columns=_POINT, values=[ids])
    order = np.argsort(tracks["id"], kind="stable")
    at = np.searchsorted(tracks["id"], points["track"], sorter=order)
    at = np.minimum(at, max(order.size - 1, 0))
    place = order[at] if order.size else at
    known = (
        tracks["id"][place] == points["track"]
        if order.size
        else np.zeros(points["id"].size, dtype=np.bool_)
    )
    begun = (tracks["begun"].astype(np.float64) + copying.DAYS_TO_2000) * DAY_S
    return Tracks(
        id=tracks["id"],
        machine=tracks["machine"],
        class_number=tracks["class_number"],
        begun=begun,
        open=tracks["open"],
        safety=tracks["safety"],
        tolerance=tracks["tolerance"],
        limit_level=tracks["limit_level"],
        limit_sd=tracks["limit_sd"],
        layer=tracks["layer"],
        point_id=points["id"][known],
        track=place[known],
        visit=points["visit"][known],
        taken=points["taken"][known],
        level=points["level"][known],
        sd=points["sd"][known],
        confirmed=points["confirmed"][known],
        at_least=points["at_least"][known],
        counts_as=points["counts_as"][known],
        deeper=np.zeros(int(known.sum())),
        doubt=np.zeros(int(known.sum())),
    )


def chunks(*, machine_ids: Sequence[int]) -> Iterator[list[int]]:
    """Yield runs of machines with about ``TRACKS_A_CHUNK`` tracks, none parted."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT machine_id, count(*) FROM inspections_weartrack "
            "WHERE machine_id = ANY(%s) GROUP BY machine_id ORDER BY machine_id",
            [list(machine_ids)],
        )
        counted = cursor.fetchall()
    run: list[int] = []
    tracks = 0
    for machine_id, count in counted:
        if run and tracks + count > TRACKS_A_CHUNK:
            yield run
            run, tracks = [], 0
        run.append(machine_id)
        tracks += count
    if run:
        yield run


def hierarchy(tracks: Tracks) -> Hierarchy:
    """Return pools (a class on a machine) and epochs (a day the parts were fitted)."""
    machine, kind, begun = tracks.machine, tracks.class_number, tracks.begun
    new_pool = _changes(machine, kind)
    new_epoch = new_pool | _changes(begun)
    epoch = np.cumsum(new_epoch) - 1
    pool = np.cumsum(new_pool) - 1
    return Hierarchy(
        epoch_of_series=epoch,
        machine_of_epoch=pool[new_epoch],
        class_of_machine=kind[new_pool].astype(np.int64),
    )


def _changes(*columns: np.ndarray) -> np.ndarray:
    """Return True at the first row and wherever one of the columns changes."""
    changed = np.ones(columns[0].size, dtype=np.bool_)
    if changed.size:
        changed[1:] = False
    for column in columns:
        changed[1:] |= column[1:] != column[:-1]
    return changed
