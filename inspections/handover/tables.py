"""What of a machine goes along, in the order in which it can be stored again."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any

from django.db import models

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
from inspections.models import Gauge, Reading, ReadingReview, Stop, Visit, VisitPhoto

# Of this house alone: its keys and counters, and who of its people did it.
_OWN = frozenset(
    {"id", "contractor", "created_at", "version", "membership_id", "done_by_member"}
)


@dataclass(frozen=True, kw_only=True)
class HandedTable:
    """Rows of one kind: where they hang on the machine, what they refer to.

    `refers` leads from a reference's name to the table that it is of; the machine
    itself, and what is not in the list, is set by the house that takes it.
    """

    name: str
    model: Any
    of_machine: Callable[[Machine], Mapping[str, Any]]
    refers: Mapping[str, str] = field(default_factory=dict)
    leave_out: frozenset[str] = frozenset()

    def rows(self, *, scope: Any, machine: Machine) -> Any:
        found = self.model.objects.within(scope).filter(**self.of_machine(machine))
        return found.order_by("pk").distinct()

    @cached_property
    def fields(self) -> Sequence["models.Field[Any, Any]"]:
        """The columns that go as they are."""
        without = _OWN | self.leave_out
        return [
            each
            for each in self.model._meta.concrete_fields
            if not each.is_relation and each.name not in without
        ]

    def line(self, row: Any) -> dict[str, Any]:
        """Return a row as what JSON can hold, references as ids of this house."""
        values = {each.name: _plain(getattr(row, each.name)) for each in self.fields}
        references = {name: getattr(row, f"{name}_id") for name in self.refers}
        return {"id": row.pk, **values, **references}


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, (date, datetime)) else value


def _direct(machine: Machine) -> Mapping[str, Any]:
    return {"machine": machine}


def _by(path: str) -> Callable[[Machine], Mapping[str, Any]]:
    return lambda machine: {path: machine}


TABLES = (
    HandedTable(
        name="machine",
        model=Machine,
        of_machine=lambda machine: {"pk": machine.pk},
        leave_out=frozenset({"code", "retired_on"}),
    ),
    HandedTable(name="pulleys", model=Pulley, of_machine=_direct),
    HandedTable(name="sheaves", model=Sheave, of_machine=_direct),
    HandedTable(
        name="geometries",
        model=SheaveGeometry,
        of_machine=_by("sheave__machine"),
        refers={"sheave": "sheaves"},
    ),
    HandedTable(
        name="grooves",
        model=Groove,
        of_machine=_by("sheave__machine"),
        refers={"sheave": "sheaves"},
    ),
    HandedTable(
        name="rope-sets",
        model=RopeSet,
        of_machine=_direct,
        refers={"sheave": "sheaves"},
    ),
    HandedTable(
        name="ropes",
        model=Rope,
        of_machine=_by("rope_set__machine"),
        refers={"rope_set": "rope-sets"},
    ),
    HandedTable(
        name="seats",
        model=RopeInGroove,
        of_machine=_by("rope__rope_set__machine"),
        refers={"rope": "ropes", "groove": "grooves"},
    ),
    HandedTable(
        name="works",
        model=Work,
        of_machine=_direct,
        refers={"sheave": "sheaves", "rope_set": "rope-sets"},
    ),
    HandedTable(name="gauges", model=Gauge, of_machine=_by("readings__machine")),
    HandedTable(
        name="visits", model=Visit, of_machine=_direct, refers={"work": "works"}
    ),
    HandedTable(
        name="readings",
        model=Reading,
        of_machine=_direct,
        refers={
            "visit": "visits",
            "sheave": "sheaves",
            "groove": "grooves",
            "rope": "ropes",
            "gauge": "gauges",
            "corrects": "readings",
        },
    ),
    HandedTable(
        name="reviews",
        model=ReadingReview,
        of_machine=_by("reading__machine"),
        refers={"reading": "readings"},
    ),
    HandedTable(
        name="photos",
        model=VisitPhoto,
        of_machine=_direct,
        refers={"visit": "visits"},
        leave_out=frozenset({"file", "sent_sha256"}),
    ),
)
BY_NAME = {table.name: table for table in TABLES}
# Not stored as rows of the other house's word: raised anew there, from these.
STOPS = HandedTable(
    name="stops",
    model=Stop,
    of_machine=lambda machine: {"machine": machine, "released_at": None},
    refers={"groove": "grooves", "rope": "ropes"},
    leave_out=frozenset(
        each.name
        for each in Stop._meta.concrete_fields
        if each.name.startswith(("release", "acknowledged"))
    ),
)
ALL = (*TABLES, STOPS)
