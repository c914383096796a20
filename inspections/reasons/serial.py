"""Reasons as JSON and back. What this version does not know comes back unchanged."""

import json
from datetime import date
from math import isfinite
from typing import Any

from inspections.reasons.codes import Code
from inspections.reasons.criteria import Criterion
from inspections.reasons.places import Place, spot_of
from inspections.reasons.reason import (
    NAMED,
    Named,
    Quantity,
    Reason,
    UnknownCode,
    UnknownTerm,
    UnknownValue,
    Value,
)
from inspections.reasons.terms import Term
from inspections.reasons.topics import Topic

_ENUMS = (Term, Criterion, Topic)


def as_json(reason: Reason) -> dict[str, Any]:
    """Return a reason as JSON-able values: its code, values and what goes with it."""
    said: dict[str, Any] = {
        "code": str(reason.code),
        "values": {name: _value(value) for name, value in reason.values},
    }
    if reason.also:
        said["also"] = [as_json(other) for other in reason.also]
    return said


def from_json(said: Any) -> Reason | None:
    """Return the reason of JSON-able values, None where there is none."""
    if not isinstance(said, dict) or not isinstance(said.get("code"), str):
        return None
    values = said.get("values") or {}
    return Reason(
        code=_code(said["code"]),
        values=tuple((name, _read(values[name])) for name in sorted(values)),
        also=tuple(r for each in said.get("also", ()) if (r := from_json(each))),
    )


def item_as_json(item: Reason | Named) -> dict[str, Any]:
    """Return what is missing or has to be known first as JSON-able values."""
    said: dict[str, Any] = _value(item)
    return said


def item_from_json(said: Any) -> Reason | Named | None:
    """Return what stored JSON names as an item, None where it is no item."""
    found = _read(said)
    return found if isinstance(found, (Reason, *NAMED)) else None


def _value(value: Value) -> Any:
    if isinstance(value, Reason):
        return as_json(value)
    if isinstance(value, NAMED):
        return {"term": str(value)}
    if isinstance(value, Place):
        return {"place": str(value.spot), "numbers": list(value.numbers)}
    if isinstance(value, Quantity):
        return {"value": _number(value.value), "unit": value.unit}
    if isinstance(value, date):
        return {"date": value.isoformat()}
    if isinstance(value, tuple):
        return [_value(each) for each in value]
    if isinstance(value, UnknownValue):
        return json.loads(value.text)
    return value if isinstance(value, str) else _number(value)


def _number(value: float) -> Any:
    return value if isfinite(value) else {"number": str(float(value))}


def _read(said: Any) -> Value:
    if isinstance(said, list):
        return tuple(_read(each) for each in said)
    if isinstance(said, str | int | float) and not isinstance(said, bool):
        return said
    if isinstance(said, dict):
        known = _read_record(said)
        if known is not None:
            return known
    return UnknownValue(json.dumps(said, sort_keys=True))


def _read_record(said: dict[str, Any]) -> Value | None:
    keys = frozenset(said)
    if "code" in keys and keys <= {"code", "values", "also"}:
        return from_json(said)
    try:
        if keys == {"term"}:
            return term_of(str(said["term"]))
        if keys == {"value", "unit"}:
            return Quantity(_read_number(said["value"]), str(said["unit"]))
        if keys == {"place", "numbers"}:
            return Place(spot_of(str(said["place"])), tuple(map(str, said["numbers"])))
        if keys == {"date"}:
            return date.fromisoformat(said["date"])
        if keys == {"number"}:
            return _read_number(said)
    except (TypeError, ValueError, KeyError):
        return None
    return None


def _read_number(said: Any) -> float:
    number = said["number"] if isinstance(said, dict) else said
    return number if isinstance(number, int) else float(number)


def _code(code: str) -> Code | UnknownCode:
    return Code(code) if code in _CODES else UnknownCode(code)


def term_of(term: str) -> Term | Criterion | Topic | UnknownTerm:
    """Return the term of a stored name, as it came where it is not known here."""
    return _TERMS.get(term) or UnknownTerm(term)


def topic_of(topic: str) -> Topic | UnknownTerm:
    """Return the topic of a stored finding, as it came where it is not known here."""
    found = _TERMS.get(topic)
    return found if isinstance(found, Topic) else UnknownTerm(topic)


def quantity_of(quantity: str) -> Named:
    """Return the term of a worn quantity, as it came where it is not known here."""
    return _TERMS.get(f"quantity_{quantity}") or UnknownTerm(quantity)


def field_of(field: str) -> Named:
    """Return the term of a register's field, as it came where it is not known here."""
    return _TERMS.get(f"field_{field}") or UnknownTerm(field)


def limit_of(limit: str) -> Named:
    """Return the term of a load case, or of what else sets a limit, by its code."""
    code = limit.lower()
    return (
        _TERMS.get(f"case_{code}")
        or _TERMS.get(f"limit_{code}")
        or _TERMS.get(_OF_FORECASTS.get(code, ""))
        or UnknownTerm(limit)
    )


# What a forecast calls a limit -> the criterion that it is.
_OF_FORECASTS = {"broken_wires_even": "breaks_even"}
_CODES = frozenset(Code)
_TERMS: dict[str, Term | Criterion | Topic] = {
    member.value: member for enum in _ENUMS for member in enum
}
