"""Columns of a file, one kind for each kind of field: read a cell, write a cell."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from fleet.platform import printing, zones
from fleet.register import own_limits
from fleet.register.exchange import dialect as dialects
from fleet.register.exchange import maps, measures, numbers
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.neutral import neutralise
from fleet.register.exchange.problems import CellRefused

TOO_LARGE = 1e12
_MOST_WHOLE = 32_767


@dataclass(frozen=True, slots=True, kw_only=True)
class FileColumn:
    """One column: its name, and the model's field that says what it takes."""

    name: str
    field: Any
    optional: bool = False

    @property
    def is_needed(self) -> bool:
        """Whether a new row cannot be without it."""
        return not (self.optional or self.may_be_empty or self.field.has_default())

    @property
    def may_be_empty(self) -> bool:
        return self.optional or self.field.null or self.field.blank

    @property
    def empty(self) -> Any:
        return None

    @property
    def takes(self) -> str:
        """What the column takes, in words."""
        return "text"

    def read(self, cell: str, *, dialect: Dialect, factor: Fraction) -> Any:
        """Return the cell's value. Raises CellRefused."""
        text = cell.strip(" ")
        if text:
            return self.value_of(text, dialect=dialect, factor=factor)
        if self.may_be_empty:
            return self.empty
        raise CellRefused(f"it is empty; it takes {self.takes}", code="missing")

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> Any:
        raise NotImplementedError

    def write(self, value: Any) -> str:
        """Return a stored value as a cell that read() takes back unchanged."""
        return "" if value is None else self.text_of(value)

    def text_of(self, value: Any) -> str:
        return neutralise(str(value))

    def plain(self, value: Any) -> Any:
        """Return a stored value as JSON says it."""
        return value


class Text(FileColumn):
    @property
    def empty(self) -> Any:
        return None if self.optional and self.field.null else ""

    @property
    def takes(self) -> str:
        most = self.field.max_length
        return f"text of at most {most} letters" if most else "text"

    def read(self, cell: str, *, dialect: Dialect, factor: Fraction) -> Any:
        # Text is kept to the letter, spaces included.
        if cell:
            return self.value_of(cell, dialect=dialect, factor=factor)
        return FileColumn.read(self, cell, dialect=dialect, factor=factor)

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> str:
        most = self.field.max_length
        if most and len(text) > most:
            raise CellRefused(f"{len(text)} letters; at most {most} are taken")
        try:
            self.field.run_validators(text)
        except ValidationError as error:
            raise CellRefused(f"{text[:40]!r}: {' '.join(error.messages)}") from error
        refusal = printing.turning(text)
        if self.name in printing.NAMES:
            refusal = refusal or printing.refusal(text)
        if refusal:
            raise CellRefused(refusal, code=printing.CODE)
        if self.name == "time_zone" and not zones.is_known(text):
            raise CellRefused(
                f"{text[:60]!r} is no IANA time zone, such as Europe/Lisbon",
                code="unknown-zone",
            )
        if self.name == "criteria_set" and (said := own_limits.refusal_of_set(text)):
            raise CellRefused(said, code="unknown-criteria")
        return text


class ChoiceColumn(FileColumn):
    @property
    def empty(self) -> Any:
        return ""

    @property
    def takes(self) -> str:
        return "one of " + ", ".join(value for value, _ in self.field.choices)

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> str:
        if text not in dict(self.field.choices):
            raise CellRefused(f"{text[:40]!r} is not taken; use {self.takes}")
        return text


class NumberColumn(FileColumn):
    @property
    def takes(self) -> str:
        measure = measures.split(self.name)[1]
        return f"a number in {measure.canonical}" if measure else "a number"

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> float:
        exact = numbers.read_number(text=text, dialect=dialect) * factor
        if not -TOO_LARGE < exact < TOO_LARGE:
            raise CellRefused(
                f"{text[:40]} is too large; the limit is {TOO_LARGE:g}",
                code="out-of-range",
            )
        return float(exact)

    def text_of(self, value: Any) -> str:
        # A negative number is no formula, so it has no prefix.
        return numbers.write_number(value)


class Whole(FileColumn):
    @property
    def takes(self) -> str:
        measure = measures.split(self.name)[1]
        return "a whole number" + (f" in {measure.canonical}" if measure else "")

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> int:
        exact = factor * numbers.read_whole(text=text)
        if exact > _MOST_WHOLE or exact.denominator != 1:
            raise CellRefused(
                f"{text} must be a whole number of at most {_MOST_WHOLE}",
                code="out-of-range",
            )
        return int(exact)

    def text_of(self, value: Any) -> str:
        return str(value)


class Day(FileColumn):
    @property
    def takes(self) -> str:
        return "a date"

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> date:
        return dialects.read_date(text=text, dialect=dialect)

    def text_of(self, value: Any) -> str:
        return str(value.isoformat())

    def plain(self, value: Any) -> Any:
        return None if value is None else value.isoformat()


class MapColumn(FileColumn):
    """A map of the model's: sources, uncertainties, or a contractor's own limits."""

    @property
    def empty(self) -> Any:
        return {}

    @property
    def takes(self) -> str:
        return maps.FORMS[self.name].takes

    def value_of(self, text: str, *, dialect: Dialect, factor: Fraction) -> Any:
        names = {field.name for field in self.field.model._meta.concrete_fields}
        return maps.FORMS[self.name].read(text, names=names, dialect=dialect)

    def text_of(self, value: Any) -> str:
        return neutralise(maps.FORMS[self.name].write(value))


_KINDS: tuple[tuple[type[Any], type[FileColumn]], ...] = (
    (models.JSONField, MapColumn),
    (models.FloatField, NumberColumn),
    (models.PositiveSmallIntegerField, Whole),
    (models.DateField, Day),
    (models.CharField, Text),
    (models.TextField, Text),
)


def column_for(*, field: Any, name: str = "", optional: bool = False) -> FileColumn:
    """Return the column of a model's field, under its own name or another."""
    kind = next(kind for base, kind in _KINDS if isinstance(field, base))
    if field.choices:
        kind = ChoiceColumn
    return kind(name=name or field.name, field=field, optional=optional)
