"""Which groove a rope runs in, as two columns of the ropes' file."""

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.db.models import F, OuterRef, Subquery

from fleet.platform.database.tenancy import Scope
from fleet.register.exchange.columns import FileColumn, Whole
from fleet.register.exchange.problems import RowError
from fleet.register.models import Groove, RopeInGroove, RopeSet

# Column -> pass of the rope over the sheave; the second only in double wrap.
PASSES = {"groove": 1, "second_groove": 2}


class Seats:
    """The columns `groove` and `second_groove` of a rope."""

    @property
    def columns(self) -> tuple[FileColumn, ...]:
        return tuple(
            Whole(
                name=name,
                field=models.PositiveSmallIntegerField(name=name, null=True),
                optional=True,
            )
            for name in PASSES
        )

    def expressions(self) -> dict[str, Any]:
        return {
            name: Subquery(
                RopeInGroove.objects.filter(
                    rope=OuterRef("pk"), pass_number=number
                ).values("groove__number")[:1]
            )
            for name, number in PASSES.items()
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSeat:
    """A seat to be stored once its rope is."""

    row: int
    column: str
    rope: Any
    groove_id: int
    stored: RopeInGroove | None


@dataclass(slots=True, kw_only=True)
class SeatPlan:
    """What a file says of seats, compared with what is stored."""

    scope: Scope
    known: dict[int, dict[int, RopeInGroove]] = field(default_factory=dict)
    grooves: dict[tuple[int, int], int] = field(default_factory=dict)
    sheaves: dict[int, int] = field(default_factory=dict)
    new: list[NewSeat] = field(default_factory=list)

    def load(self, *, rope_ids: Sequence[int], rope_set_ids: Sequence[int]) -> None:
        """Look up the seats of the ropes and the grooves of their sheaves."""
        seats = RopeInGroove.objects.within(self.scope).filter(rope__in=rope_ids)
        for seat in seats.select_related("groove"):
            self.known.setdefault(seat.rope_id, {})[seat.pass_number] = seat
        sets = RopeSet.objects.within(self.scope).filter(pk__in=rope_set_ids)
        self.sheaves = dict(sets.values_list("pk", "sheave_id"))
        grooves = Groove.objects.within(self.scope).filter(
            sheave__in=set(self.sheaves.values())
        )
        self.grooves = {
            (sheave_id, number): pk
            for sheave_id, number, pk in grooves.values_list("sheave", "number", "pk")
        }

    def compare(
        self, *, row: int, rope: Any, values: Mapping[str, Any]
    ) -> tuple[dict[str, tuple[str, str]], list[RowError]]:
        """Return what changes, by column, and what is wrong."""
        changes: dict[str, tuple[str, str]] = {}
        errors = []
        for column in (name for name in PASSES if name in values):
            stored = self.known.get(rope.pk or 0, {}).get(PASSES[column])
            old = stored.groove.number if stored else None
            wanted = values[column]
            if wanted == old:
                continue
            pk = self.grooves.get((self.sheaves[rope.rope_set_id], wanted or 0))
            if pk is None:
                errors.append(_refused(row=row, column=column, wanted=wanted))
                continue
            changes[column] = ("" if old is None else str(old), str(wanted))
            self.new.append(
                NewSeat(row=row, column=column, rope=rope, groove_id=pk, stored=stored)
            )
        return changes, errors

    def store(self, new: Sequence[NewSeat]) -> None:
        """Store seats; their ropes are stored already.

        What moves does so in one statement, so that ropes can swap their grooves.
        """
        moved = []
        for seat in new:
            if seat.stored is not None:
                # A copy: a try that fails leaves the row as it was read.
                row = copy(seat.stored)
                row.groove_id, row.version = seat.groove_id, F("version") + 1
                moved.append(row)
        RopeInGroove.objects.bulk_update(moved, ["groove", "version"])
        RopeInGroove.objects.bulk_create(
            RopeInGroove(
                contractor_id=self.scope.contractor_id,
                rope_id=seat.rope.pk,
                groove_id=seat.groove_id,
                pass_number=PASSES[seat.column],
            )
            for seat in new
            if seat.stored is None
        )


def _refused(*, row: int, column: str, wanted: int | None) -> RowError:
    if wanted is None:
        return RowError(
            row=row,
            column=column,
            code="missing",
            detail="the rope's groove is stored and cannot be emptied; write the "
            "groove that it runs in, or leave the column out",
        )
    return RowError(
        row=row,
        column=column,
        code="refers-to-nothing",
        detail=f"the sheave has no groove {wanted}; bring the grooves in first",
    )
