"""Reasons made and checked against what their code declares."""

from collections.abc import Iterable
from datetime import date
from functools import cache
from operator import itemgetter

from inspections.reasons.catalogue import SENTENCES
from inspections.reasons.catalogue.sentence import Holds
from inspections.reasons.codes import Code
from inspections.reasons.places import Place
from inspections.reasons.reason import NAMED, Quantity, Reason, Value
from inspections.reasons.terms import Term

_SINGLE: dict[Holds, tuple[type, ...]] = {
    Holds.NUMBER: (int, float),
    Holds.QUANTITY: (Quantity,),
    Holds.TERM: NAMED,
    Holds.TEXT: (str,),
    Holds.WORD: (str,),
    Holds.DAY: (date,),
    Holds.REASON: (Reason,),
    Holds.PLACE: (Place,),
}
_MANY: dict[Holds, tuple[type, ...]] = {
    Holds.ITEMS: (*NAMED, Reason),
    Holds.TEXTS: (str,),
    Holds.PLACES: (Place,),
}


@cache
def _declared(code: Code) -> tuple[tuple[str, tuple[type, ...], bool], ...]:
    """Return the values that a code takes by name: their types, whether they are many.

    In the order of the names.
    """
    return tuple(
        (name, _MANY[holds], True) if holds in _MANY else (name, _SINGLE[holds], False)
        for name, holds in sorted(SENTENCES[code].fields.items(), key=itemgetter(0))
    )


def because(code: Code, **values: Value) -> Reason:
    """Return a reason. Raises TypeError for values that its code does not declare."""
    takes = _declared(code)
    found = []
    for name, kinds, many in takes:
        if name not in values:
            break
        value = values[name]
        if not (_are_many(value, kinds) if many else isinstance(value, kinds)):
            holds = SENTENCES[code].fields[name]
            raise TypeError(f"{code}: {name} is no {holds}: {value!r}")
        found.append((name, value))
    if not len(found) == len(takes) == len(values):
        raise TypeError(
            f"{code} takes {[n for n, _, _ in takes]}, not {sorted(values)}"
        )
    return Reason(code, tuple(found))


def note(text: str) -> Reason:
    """Return a text that was said elsewhere as a reason."""
    return because(Code.NOTE, text=text)


def together(reasons: Iterable[Reason]) -> Reason | None:
    """Return reasons one after another as one, None where there is none."""
    each = list(reasons)
    return each[0].with_also(*each[1:]) if each else None


def missing(*items: Term | Reason) -> Reason:
    """Return that something is missing: what, item by item."""
    if len(items) == 1 and isinstance(items[0], Term):
        return _lacking(items[0])
    return because(Code.MISSING, items=tuple(dict.fromkeys(items)))


@cache
def _lacking(term: Term) -> Reason:
    # The terms are a closed list, most reasons name a single one of them.
    return because(Code.MISSING, items=(term,))


def _are_many(value: Value, kinds: tuple[type, ...]) -> bool:
    return isinstance(value, tuple) and all(isinstance(each, kinds) for each in value)
