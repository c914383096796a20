"""The columns of a file of readings: its visit, its place, its value and unit."""

import re
from fractions import Fraction
from typing import Any

from django.db import models

from fleet.register.choices import WorkKind
from fleet.register.exchange.columns import FileColumn, Text, column_for
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.neutral import neutralise
from fleet.register.exchange.problems import CellRefused
from inspections.kinds import NUMBERS, PLACE_VALUES
from inspections.models import VisitKind

_NUMBER = re.compile(r"[+-]?[0-9][0-9 ./]*", re.ASCII)
_MOST_LETTERS = 40


class Typed(Text):
    """A value as a person typed it; the decimal mark is the declared one."""

    @property
    def takes(self) -> str:
        return "a number such as 11.8, 29/64 or 1 3/16, or a word of its kind"

    def read(self, cell: str, *, dialect: Dialect, factor: Fraction) -> Any:
        text = cell.strip(" ")
        if dialect.decimal_mark == ".":
            return text
        if "." in text:
            raise CellRefused(
                f"{text[:40]!r}: the declared decimal mark is the comma",
                code="unreadable-number",
            )
        return text.replace(dialect.decimal_mark, ".")

    def text_of(self, value: Any) -> str:
        text = str(value)
        # A negative number is no formula, so it has no prefix.
        return text if _NUMBER.fullmatch(text) else neutralise(text)


def _text(name: str, most: int, *, needed: bool = False) -> FileColumn:
    field = models.CharField(name=name, max_length=most, blank=not needed)
    return column_for(field=field, optional=not needed)


def _choice(name: str, choices: Any) -> FileColumn:
    field = models.CharField(name=name, max_length=30, choices=choices, blank=True)
    return column_for(field=field, optional=True)


def _day(name: str) -> FileColumn:
    return column_for(field=models.DateField(name=name, null=True), optional=True)


def _whole(name: str) -> FileColumn:
    field = models.PositiveSmallIntegerField(name=name, null=True)
    return column_for(field=field, optional=True)


def _place(name: str) -> FileColumn:
    if name in NUMBERS:
        field = models.FloatField(name=name, null=True)
        return column_for(field=field, optional=True)
    return _text(name, _MOST_LETTERS)


VISIT = (
    _text("machine", 50, needed=True),
    _text("visit", 64),
    _choice("visit_kind", VisitKind.choices),
    _text("visited_at", 40),
    _text("visit_note", 2000),
    _choice("work_kind", WorkKind.choices),
    _day("work_done_on"),
)
PLACE = tuple(_place(name) for name in PLACE_VALUES)
READING = (
    _text("reference", 64),
    _text("kind", 30),
    _whole("groove"),
    _whole("rope"),
    *PLACE,
    Typed(
        name="value",
        field=models.CharField(name="value", max_length=_MOST_LETTERS, blank=True),
        optional=True,
    ),
    _text("unit", 10),
    _text("taken_at", 40),
    _text("gauge", 50),
    _text("note", 500),
    _text("corrects", 64),
)
# As the export writes them; a file may have the day of a visit instead of its time.
COLUMNS = (*VISIT, *READING)
VISITED_ON = _day("visited_on")
TAKEN = (*COLUMNS, VISITED_ON)

MEANINGS = {
    "machine": "Code of the machine",
    "visit": "Your own reference of the visit; empty: told by machine, time and kind",
    "visit_kind": "What the visit was for; empty: ROUTINE",
    "visited_at": "When, with its offset, such as 2019-03-31T14:05:00+01:00",
    "visited_on": "The day, where the hour is not known; kept as noon at the building",
    "visit_note": "Anything about the visit",
    "work_kind": "Work after which the visit was made (registered in works)",
    "work_done_on": "Day of that work",
    "reference": "Your own reference of the reading; empty: told by visit, kind, "
    "place and time, so that the same file again stores nothing twice",
    "kind": "What was read; empty where nothing was read at a visit",
    "groove": "Number of the groove, for kinds that are read on a groove",
    "rope": "Number of the rope, for kinds that are read on a rope",
    "value": "As it was read; the unit stands in the column unit, or once for the "
    "whole column in its name, as value [mm]",
    "unit": "Unit of the value, such as mm, in, N, kgf, lbf, s, HB, %, or 1 for counts",
    "taken_at": "When, if not at the visit's time, with its offset",
    "gauge": "Code of the gauge",
    "note": "Anything about the reading; why, if it corrects another",
    "corrects": "Reference of the reading that this one corrects",
    **{
        name: "Place of the reading: "
        + (", ".join(values) if values else "where its kind asks for it")
        for name, values in PLACE_VALUES.items()
    },
}
EXAMPLE = {
    "machine": "LB-1",
    "visit_kind": "ROUTINE",
    "visited_at": "2024-03-31T14:05:00+01:00",
    "kind": "rope_diameter",
    "rope": "1",
    "station": "car side",
    "direction": "1",
    "value": "12.85",
    "unit": "mm",
}
