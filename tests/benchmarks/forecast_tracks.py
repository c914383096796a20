"""Machines with courses of wear in the database, for the benchmark of a fleet's run."""

import os
from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import psycopg
from django.db import transaction

from fleet.models import Contractor
from fleet.platform.database import tenancy
from inspections.forecasts.tracks import PREPARED_BY
from tests.benchmarks import assessed_fleet

BEGUN = date(2012, 3, 1)
NOW = datetime(2026, 4, 1, tzinfo=UTC)
MEAN_VISITS, MOST_VISITS = 8.5, 60
TRACKS_A_MACHINE = 2 * assessed_fleet.ROPES
# class, median rate, limit and gauge deviation in mm, for grooves and for ropes
SEAT = ("seat_depth", "seat depth, undercut", 0.12, 1.8, 0.08)
ROPE = ("diameter_loss", "rope diameter, fibre core", 0.07, 1.2, 0.05)

_VISIT = ("contractor_id", "version", "machine_id", "reference", "kind")
_VISIT += ("visited_at", "membership_id", "note")
_TRACK = ("contractor_id", "version", "machine_id", "groove_id", "rope_id")
_TRACK += ("quantity", "place", "class_name", "begun_on", "tolerance", "limit_level")
_TRACK += ("limit_sd", "limit_reason", "limit_dominated_by", "safety", "shown_from")
_TRACK += ("falls", "readings", "prepared_by")
_POINT = ("contractor_id", "version", "track_id", "machine_id", "visit_id", "taken_at")
_POINT += ("level", "sd", "confirmed", "readings")


def make(*, series: int, seed: int = 5) -> Contractor:
    """Store a contractor with about ``series`` courses of wear, 8.5 readings each."""
    with transaction.atomic():
        contractor = Contractor.objects.create(name="Many Lifts", code="many")
        tenancy.confine(contractor_id=contractor.pk)
        parts = assessed_fleet.register(contractor, series // TRACKS_A_MACHINE)
    rng = np.random.default_rng(seed)
    count = len(parts.machines)
    visits = np.clip(rng.geometric(1 / MEAN_VISITS, count), 1, MOST_VISITS)
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"]) as owner:
        at = _visits(owner, contractor, parts, visits, rng)
        tracks = _tracks(owner, contractor, parts, visits)
        _points(owner, contractor, parts, at, tracks, rng)
    return contractor


def _visits(
    owner: Any, contractor: Contractor, parts: Any, visits: np.ndarray, rng: Any
) -> list[list[tuple[int, datetime]]]:
    """Store visits; return id and time of those of each machine, in order."""
    rows = []
    for machine, count in zip(parts.machines, visits.tolist(), strict=True):
        days = np.sort(rng.uniform(30.0, 365.0 * 10.0, count))
        for number, day in enumerate(days[::-1].tolist()):
            moment = NOW - timedelta(days=day)
            rows.append(
                (
                    contractor.pk,
                    1,
                    machine.pk,
                    f"{machine.pk}-{number}",
                    "INSPECTION",
                    moment,
                    1,
                    "",
                )
            )
    _copy(owner, "inspections_visit", _VISIT, rows)
    found = owner.execute(
        "SELECT machine_id, id, visited_at FROM inspections_visit "
        "WHERE reference NOT LIKE 'v-%' ORDER BY machine_id, visited_at"
    ).fetchall()
    by_machine: dict[int, list[tuple[int, datetime]]] = {}
    for machine_id, visit_id, moment in found:
        by_machine.setdefault(machine_id, []).append((visit_id, moment))
    return [by_machine[machine.pk] for machine in parts.machines]


def _tracks(
    owner: Any, contractor: Contractor, parts: Any, visits: np.ndarray
) -> dict[tuple[int, str, str], int]:
    """Store a course for every groove and rope; return their ids by place."""
    rows, reading = [], 0
    ropes = assessed_fleet.ROPES
    for n, machine in enumerate(parts.machines):
        for kind, name, of in ((SEAT, "groove", "grooves"), (ROPE, "rope", "ropes")):
            for part in getattr(parts, of)[n * ropes : (n + 1) * ropes]:
                own = list(range(reading, reading + int(visits[n])))
                reading += len(own)
                groove, rope = (part.pk, None) if of == "grooves" else (None, part.pk)
                rows.append(
                    (
                        contractor.pk,
                        1,
                        machine.pk,
                        groove,
                        rope,
                        kind[0],
                        f"{name} {part.number}",
                        kind[1],
                        BEGUN,
                        0.1,
                        kind[3],
                        0.1,
                        "BOTTOMING",
                        "",
                        True,
                        0.0,
                        False,
                        own,
                        PREPARED_BY,
                    )
                )
    _copy(owner, "inspections_weartrack", _TRACK, rows)
    found = owner.execute(
        "SELECT machine_id, quantity, place, id FROM inspections_weartrack"
    ).fetchall()
    return {(machine, quantity, place): pk for machine, quantity, place, pk in found}


def _points(
    owner: Any, contractor: Contractor, parts: Any, at: Any, tracks: Any, rng: Any
) -> None:
    """Store each course's levels, straight with noise, a limit ahead of most."""
    begun = datetime.combine(BEGUN, datetime.min.time(), tzinfo=UTC)

    def rows() -> Any:
        reading = 0
        for machine, moments in zip(parts.machines, at, strict=True):
            years = np.array([(m - begun).days / 365.25 for _, m in moments])
            for kind, name in ((SEAT, "groove"), (ROPE, "rope")):
                rates = 0.6 * kind[2] * np.exp(0.4 * rng.standard_normal())
                for number in range(1, assessed_fleet.ROPES + 1):
                    track = tracks[machine.pk, kind[0], f"{name} {number}"]
                    rate = rates * np.exp(0.15 * rng.standard_normal())
                    scatter = kind[4] * rng.standard_normal(years.size)
                    for (visit, moment), level in zip(
                        moments, (rate * years + scatter).tolist(), strict=True
                    ):
                        yield (
                            (
                                contractor.pk,
                                1,
                                track,
                                machine.pk,
                                visit,
                                moment,
                                round(level, 3),
                                kind[4],
                                False,
                                [reading],
                            )
                        )
                        reading += 1

    _copy(owner, "inspections_trackpoint", _POINT, rows())


def _copy(owner: Any, table: str, names: tuple[str, ...], rows: Any) -> None:
    statement = f"COPY {table} ({', '.join(names)}) FROM STDIN"
    with owner.cursor() as cursor, cursor.copy(statement) as copy:
        for row in rows:
            copy.write_row(row)
