"""The database's own checks, looked at before the database is asked, and in words.

PostgreSQL names the first check that a row breaks; a person wants all of them, each
at its column.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from django.db import models
from django.db.models import F, Q

_COMPARED: dict[str, tuple[Callable[[Any, Any], bool], str]] = {
    "gt": (lambda a, b: a > b, "above"),
    "gte": (lambda a, b: a >= b, "at least"),
    "lt": (lambda a, b: a < b, "below"),
    "lte": (lambda a, b: a <= b, "at most"),
    "exact": (lambda a, b: a == b, ""),
    "in": (lambda a, b: a in b, "one of"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RowRule:
    """One condition that a row must keep, with the fields that it speaks of."""

    fields: tuple[str, ...]
    condition: Q
    words: str

    def is_broken(self, row: Any) -> bool:
        """Tell whether a row breaks it; as in SQL, what is not known breaks nothing."""
        return _truth(self.condition, row) is False


@cache
def rules_of(model: type[models.Model]) -> tuple[RowRule, ...]:
    """Return a model's checks, cut into conditions that can be said one by one."""
    return tuple(
        RowRule(
            fields=tuple(dict.fromkeys(_fields(part))),
            condition=part,
            words=f"it must be {_words(part)}",
        )
        for constraint in model._meta.constraints
        if isinstance(constraint, models.CheckConstraint)
        for part in _parts(constraint.condition)
    )


def _parts(condition: Any) -> Iterator[Q]:
    """Return the conditions that must all be kept, each for itself."""
    if not isinstance(condition, Q):
        yield Q(condition)
    elif condition.negated or (
        condition.connector != Q.AND and len(condition.children) > 1
    ):
        yield condition
    else:
        for child in condition.children:
            yield from _parts(child)


def _named(reference: Any) -> str:
    """Return the field that an F expression names."""
    return str(reference.name)


def _fields(condition: Any) -> Iterator[str]:
    if isinstance(condition, Q):
        for child in condition.children:
            yield from _fields(child)
        return
    name, value = condition
    yield name.split("__")[0]
    if isinstance(value, F):
        yield _named(value)


def _truth(condition: Any, row: Any) -> bool | None:
    if not isinstance(condition, Q):
        name, value = condition
        return _leaf(name, value, row)
    found = [_truth(child, row) for child in condition.children]
    decisive = condition.connector == Q.OR
    truth: bool | None = not decisive
    if decisive in found:
        truth = decisive
    elif None in found:
        truth = None
    return truth if truth is None or not condition.negated else not truth


def _leaf(name: str, value: Any, row: Any) -> bool | None:
    field, _, lookup = name.partition("__")
    actual = getattr(row, field)
    if lookup == "isnull":
        return (actual is None) is bool(value)
    wanted = getattr(row, _named(value)) if isinstance(value, F) else value
    if actual is None or wanted is None:
        return None
    return bool(_COMPARED[lookup or "exact"][0](actual, wanted))


def _words(condition: Any, *, negated: bool = False) -> str:
    if isinstance(condition, Q):
        told = [
            _words(child, negated=negated != condition.negated)
            for child in condition.children
        ]
        joint = " or " if condition.connector == Q.OR else " and "
        return joint.join(word for word in told if word)
    name, value = condition
    lookup = name.partition("__")[2] or "exact"
    if lookup == "isnull":
        return ""
    said = f"{_COMPARED[lookup][1]} {_said(value)}".strip()
    return f"not {said}" if negated else said


def _said(value: Any) -> str:
    if isinstance(value, F):
        return _named(value)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(_said(each) for each in value)
    if isinstance(value, float):
        return f"{value:g}"
    return value.isoformat() if isinstance(value, date) else str(value) or "empty"


def words_of(*, constraint: str) -> str:
    """Return what the database's refusal means."""
    return _REFUSALS.get(constraint) or (
        f"this would break the rule: {constraint.replace('_', ' ') or 'unnamed'}"
    )


_TWICE = "it stands in the file or the register twice"
_REFUSALS: Mapping[str, str] = {
    "pulley_place_taken_once": "another pulley has this number on the machine in "
    "this period; retire it first (retired_on), on the day this one is fitted",
    "sheave_one_at_a_time": "another sheave is fitted on this machine in this "
    "period; retire it first (retired_on), on the day this one is fitted",
    "rope_set_one_at_a_time": "another rope set runs on this sheave in this period; "
    "retire it first (retired_on), on the day this one is fitted",
    "rope_set_one_on_a_machine": "another rope set runs on this machine in this "
    "period; retire it first (retired_on), on the day this one is fitted",
    "rope_set_once_in_a_groove": "another rope of this set runs in that groove; move "
    "it too, in the same file",
    "rope_in_groove_once": "the rope runs in this groove on its other pass already",
    "owner_code_once": _TWICE,
    "building_code_once": _TWICE,
    "machine_code_once": _TWICE,
}
