"""Planned rows into the database; what it refuses is said row by row."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from django.db import IntegrityError, connection, transaction
from django.db.models import F

from fleet.register.exchange import rules
from fleet.register.exchange.plan import Plan, PlannedRow
from fleet.register.exchange.problems import RowError
from fleet.register.exchange.resource import Resource
from fleet.register.exchange.seats import NewSeat, SeatPlan

_CHUNK = 500

Storing = Callable[[Sequence[PlannedRow]], None]


def store(*, plan: Plan) -> list[RowError]:
    """Store what is new or changed; return what the database refuses.

    Changes go first: a part that is retired makes room for the one that follows it.
    """
    model = plan.resource.model
    changed = [p for p in plan.planned if not p.is_new and p.changes]
    errors = _store(
        changed, lambda rows: _update(model, rows), resource=plan.resource
    ) + _store(
        [p for p in plan.planned if p.is_new],
        lambda rows: _insert(model, rows),
        resource=plan.resource,
    )
    if plan.seats is not None and not errors:
        errors += _store_seats(plan.seats, resource=plan.resource)
    return errors


def check_references() -> None:
    """Have the database look now at what it would look at on commit."""
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")


def _insert(model: Any, rows: Sequence[PlannedRow]) -> None:
    model.objects.bulk_create([planned.instance for planned in rows])


def _update(model: Any, rows: Sequence[PlannedRow]) -> None:
    names = sorted({name for planned in rows for name in planned.attributes})
    for planned in rows:
        planned.instance.version = F("version") + 1
    fields = [name.removesuffix("_id") for name in names]
    model.objects.bulk_update(
        [planned.instance for planned in rows], [*fields, "version"]
    )


def _store(
    rows: Sequence[PlannedRow], storing: Storing, *, resource: Resource
) -> list[RowError]:
    """Store rows by the hundred; where that fails, one by one, to find all faults."""
    errors = []
    for start in range(0, len(rows), _CHUNK):
        chunk = rows[start : start + _CHUNK]
        if _try(chunk, storing) is None:
            continue
        for planned in chunk:
            planned.instance.pk = None if planned.is_new else planned.instance.pk
            refusal = _try([planned], storing)
            if refusal is not None:
                errors.append(_error(planned.row, refusal, resource=resource))
    return errors


def _try(rows: Sequence[PlannedRow], storing: Storing) -> IntegrityError | None:
    try:
        with transaction.atomic():
            storing(rows)
    except IntegrityError as error:
        return error
    return None


def _store_seats(seats: SeatPlan, *, resource: Resource) -> list[RowError]:
    """Store where ropes run: all at once, set by set and one by one where that fails.

    Ropes that swap their grooves can only do so together.
    """
    if _try_seats(seats, seats.new) is None:
        return []
    of_set: dict[int, list[NewSeat]] = {}
    for new in seats.new:
        of_set.setdefault(new.rope.rope_set_id, []).append(new)
    errors = []
    for together in of_set.values():
        if _try_seats(seats, together) is None:
            continue
        for new in together:
            refusal = _try_seats(seats, [new])
            if refusal is not None:
                error = _error(new.row, refusal, resource=resource)
                errors.append(replace(error, column=new.column))
    return errors


def _try_seats(seats: SeatPlan, new: Sequence[NewSeat]) -> IntegrityError | None:
    try:
        with transaction.atomic():
            seats.store(new)
    except IntegrityError as error:
        return error
    return None


def _error(row: int, refusal: IntegrityError, *, resource: Resource) -> RowError:
    diagnosis = getattr(refusal.__cause__, "diag", None)
    name = getattr(diagnosis, "constraint_name", None) or ""
    return RowError(
        row=row,
        column=resource.key_columns[-1],
        code="conflict",
        detail=rules.words_of(constraint=name),
    )
