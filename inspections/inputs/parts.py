"""The register's rows of some machines, each loaded once and tied to its neighbours.

Tying rows in Python is far cheaper than joining them to every row of a query.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Model

from fleet.models import (
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)
from fleet.platform.database.tenancy import Scope


@dataclass(frozen=True, slots=True, kw_only=True)
class PartsOnDay:
    """Rows by what they hang on; sheaves, sets, geometries as fitted on the day.

    Grooves and ropes are there from earlier sheaves and sets too: an old reading is
    judged with the rope that ran then.
    """

    day: date
    sheaves: dict[int, Sheave]
    rope_sets: dict[int, RopeSet]
    geometries: dict[int, SheaveGeometry]
    grooves: dict[int, Groove]
    ropes: dict[int, Rope]
    grooves_of: dict[int, list[Groove]]
    ropes_of: dict[int, list[Rope]]
    seats_of: dict[int, list[RopeInGroove]]
    pulleys_of: dict[int, list[Pulley]]
    works_of: dict[int, list[Work]]


def load(*, scope: Scope, machine_ids: Sequence[int], day: date) -> PartsOnDay:
    """Return the parts of some machines, in a constant number of queries."""
    ids = list(machine_ids)
    sheaves = list(
        Sheave.objects.within(scope)
        .filter(machine__in=ids, fitted_on__lte=day)
        .order_by("fitted_on")
    )
    sets = list(
        RopeSet.objects.within(scope)
        .filter(machine__in=ids, fitted_on__lte=day)
        .order_by("fitted_on")
    )
    grooves = list(
        Groove.objects.within(scope).filter(sheave__in=sheaves).order_by("number", "pk")
    )
    ropes = list(
        Rope.objects.within(scope).filter(rope_set__in=sets).order_by("number")
    )
    tie(ropes, "rope_set", {row.pk: row for row in sets})
    tie(grooves, "sheave", {row.pk: row for row in sheaves})
    by_groove = {row.pk: row for row in grooves}
    by_rope = {row.pk: row for row in ropes}
    seats = list(
        RopeInGroove.objects.within(scope).filter(rope__in=list(by_rope)).order_by("pk")
    )
    tie(seats, "groove", by_groove)
    tie(seats, "rope", by_rope)
    # A rope laid in a groove before either was fitted belongs to another day.
    whole = [s for s in seats if s.groove_id in by_groove and s.rope_id in by_rope]
    # Sorted here: the database would join set and machine to every seat for it.
    whole.sort(key=_by_set_and_number)
    geometries = SheaveGeometry.objects.within(scope).filter(
        sheave__in=sheaves, valid_from__lte=day
    )
    return PartsOnDay(
        day=day,
        sheaves=_fitted(sheaves, day),
        rope_sets=_fitted(sets, day),
        geometries={row.sheave_id: row for row in geometries.order_by("valid_from")},
        grooves=by_groove,
        ropes=by_rope,
        grooves_of=_grouped(grooves, "sheave_id"),
        ropes_of=_grouped(ropes, "rope_set_id"),
        seats_of=_by_sheave(whole),
        pulleys_of=_grouped(
            Pulley.objects.within(scope)
            .filter(machine__in=ids, fitted_on__lte=day)
            .order_by("number", "pk"),
            "machine_id",
        ),
        works_of=_grouped(
            Work.objects.within(scope)
            .filter(machine__in=ids, done_on__lte=day)
            .order_by("-done_on", "pk"),
            "machine_id",
        ),
    )


def machines(*, scope: Scope, machine_ids: Sequence[int]) -> list[Machine]:
    """Return the machines with their buildings, by id."""
    return list(
        Machine.objects.within(scope)
        .filter(pk__in=machine_ids)
        .select_related("building")
        .order_by("pk")
    )


def tie(rows: Iterable[Model], name: str, others: dict[int, Any]) -> None:
    """Give each row the row that one of its foreign keys names, None if not there."""
    column = f"{name}_id"
    for row in rows:
        other = others.get(vars(row)[column])
        row._state.fields_cache[name] = other


def is_fitted(row: Any, day: date) -> bool:
    """Return whether a part that was fitted has not been retired by a day."""
    return row.retired_on is None or row.retired_on > day


def _fitted(rows: Iterable[Any], day: date) -> dict[int, Any]:
    """Return the part fitted on a day, by machine."""
    return {row.machine_id: row for row in rows if is_fitted(row, day)}


def _by_set_and_number(seat: RopeInGroove) -> tuple[Any, ...]:
    rope = seat.rope
    rope_set = rope.rope_set
    return rope_set.fitted_on, rope_set.pk, rope.number, seat.pass_number


def _by_sheave(seats: Iterable[RopeInGroove]) -> dict[int, list[RopeInGroove]]:
    found: dict[int, list[RopeInGroove]] = defaultdict(list)
    for seat in seats:
        found[seat.groove.sheave_id].append(seat)
    return found


def _grouped(rows: Iterable[Any], column: str) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[vars(row)[column]].append(row)
    return found
