"""Readings of the benchmark's machines, copied straight into their table."""

import json
import os
import random
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import psycopg

from fleet.models import Groove, Machine, Rope, Sheave
from inspections.models import Visit

# One machine in ten has a rim survey.
RIM_EVERY = 10

_COLUMNS = (
    "contractor_id",
    "upload_id",
    "gauge_id",
    "machine_id",
    "sheave_id",
    "visit_id",
    "groove_id",
    "rope_id",
    "reference",
    "kind",
    "place",
    "typed_value",
    "typed_unit",
    "value",
    "word",
    "taken_at",
    "note",
    "state",
    "state_reason",
    "version",
)
_NOTHING = {"groove_id": None, "rope_id": None}
_PLAIN = {"note": "", "state": "STORED", "state_reason": "", "version": 1}

Row = dict[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """What readings are taken on, machine after machine."""

    fixed: Row
    machines: list[Machine]
    sheaves: list[Sheave]
    forms: list[str]
    grooves: list[Groove]
    ropes: list[Rope]
    visits: list[Visit]


def copy_in(rows: Iterator[Row]) -> None:
    """Store readings as the tables' owner, the only one who may copy into them."""
    names = ", ".join(_COLUMNS)
    statement = f"COPY inspections_reading ({names}) FROM STDIN"
    with psycopg.connect(os.environ["DATABASE_OWNER_URL"]) as owner:
        with owner.cursor() as cursor, cursor.copy(statement) as copy:
            for row in rows:
                copy.write_row([row[name] for name in _COLUMNS])
        owner.execute("ANALYZE inspections_reading")


class Reader:
    """Reads every machine at every visit, with noise."""

    def __init__(self, draw: random.Random) -> None:
        self.draw = draw
        self.number = 0

    def readings(self, parts: Parts) -> Iterator[Row]:
        """Yield the readings of every machine."""
        count = len(parts.machines)
        ropes, visits = len(parts.ropes) // count, len(parts.visits) // count
        for n, machine in enumerate(parts.machines):
            yield from self._readings(
                parts.fixed
                | {"machine_id": machine.pk, "sheave_id": parts.sheaves[n].pk},
                form=parts.forms[n],
                grooves=parts.grooves[n * ropes : (n + 1) * ropes],
                ropes=parts.ropes[n * ropes : (n + 1) * ropes],
                visits=parts.visits[n * visits : (n + 1) * visits],
                surveyed=n % RIM_EVERY == 0,
            )

    def _readings(
        self,
        fixed: dict[str, Any],
        *,
        form: str,
        grooves: list[Groove],
        ropes: list[Rope],
        visits: list[Visit],
        surveyed: bool,
    ) -> Iterator[Row]:
        deep = self.draw.uniform(0.1, 0.5)
        for age, visit in enumerate(visits, start=4):
            at = fixed | {"visit_id": visit.pk, "taken_at": visit.visited_at}
            yield self._one(at, "slip_seen", word="no")
            yield self._one(at, "cwt_runby", 300.0 - 8.0 * age)
            for groove, rope in zip(grooves, ropes, strict=True):
                on_rope = at | {"rope_id": rope.pk}
                on_groove = at | {"groove_id": groove.pk}
                sunk = deep * age * self.draw.uniform(0.95, 1.05)
                thin = 13.1 - 0.04 * age
                for direction in ("1", "2"):
                    yield self._one(
                        on_rope, "rope_diameter", self._near(thin), direction=direction
                    )
                yield self._one(
                    on_groove, "rope_crown_height", self._near(3 - sunk), mark="A"
                )
                if form == "V":
                    for flank in ("left", "right"):
                        yield self._one(
                            on_groove,
                            "seat_band_width",
                            self._near(2.6 + 0.7 * sunk),
                            flank=flank,
                        )
                else:
                    yield self._one(
                        on_groove, "bottom_clearance", self._near(3.5 - sunk)
                    )
                for kind, most in (("breaks_total", 4), ("breaks_worst_strand", 2)):
                    yield self._one(
                        on_rope, kind, self.draw.randrange(most), window="lay"
                    )
                yield self._one(on_rope, "rouge", word="none")
        yield from self._at_the_last_visit(
            fixed | {"visit_id": visits[-1].pk, "taken_at": visits[-1].visited_at},
            grooves,
            ropes,
            surveyed=surveyed,
        )

    def _at_the_last_visit(
        self,
        at: dict[str, Any],
        grooves: list[Groove],
        ropes: list[Rope],
        *,
        surveyed: bool,
    ) -> Iterator[Row]:
        for position in ("bottom", "top"):
            for rope in ropes:
                yield self._one(
                    at | {"rope_id": rope.pk},
                    "rope_tension",
                    self.draw.gauss(3600.0, 120.0),
                    side="car",
                    car_position=position,
                )
        if not surveyed:
            return
        for groove in grooves:
            yield self._one(
                at | {"groove_id": groove.pk}, "groove_bottom_depth", self._near(18.0)
            )
        for axial_mm in (5.0, 135.0):
            for mark in ("A", "B", "C", "D"):
                yield self._one(
                    at,
                    "rim_thickness",
                    self._near(42.0 - axial_mm / 60.0),
                    axial_mm=axial_mm,
                    mark=mark,
                    over="land",
                )
        yield self._one(at, "underside_runout", 1.2)

    def _near(self, value: float) -> float:
        return self.draw.gauss(value, 0.05)

    def _one(
        self,
        at: dict[str, Any],
        kind: str,
        value: float | None = None,
        *,
        word: str = "",
        **place: Any,
    ) -> Row:
        self.number += 1
        return {
            **_NOTHING,
            **_PLAIN,
            **at,
            "reference": f"r-{self.number}",
            "kind": kind,
            "place": json.dumps(place),
            "typed_value": word or f"{value:g}",
            "typed_unit": "mm" if value is not None else "",
            "value": value,
            "word": word,
        }
