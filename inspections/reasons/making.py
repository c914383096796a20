"""Reasons made and checked against what their code declares."""

from collections.abc import Iterable
from datetime import date
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


_name = itemgetter(0)


def because(code: Code, **values: Value) -> Reason:
    """Return a reason. Raises TypeError for values that its code does not declare."""
    fields = SENTENCES[code].fields
    if fields.keys() != values.keys():
        raise TypeError(f"{code} takes {sorted(fields)}, not {sorted(values)}")
    for name, holds in fields.items():
        single = _SINGLE.get(holds)
        if single is None:
            fits = _are_many(values[name], _MANY[holds])
        else:
            fits = isinstance(values[name], single)
        if not fits:
            raise TypeError(f"{code}: {name} is no {holds}: {values[name]!r}")
    return Reason(code=code, values=tuple(sorted(values.items(), key=_name)))


def note(text: str) -> Reason:
    """Return a text that was said elsewhere as a reason."""
    return because(Code.NOTE, text=text)


def together(reasons: Iterable[Reason]) -> Reason | None:
    """Return reasons one after another as one, None where there is none."""
    each = list(reasons)
    return each[0].with_also(*each[1:]) if each else None


def missing(*items: Term | Reason) -> Reason:
    """Return that something is missing: what, item by item."""
    return because(Code.MISSING, items=tuple(dict.fromkeys(items)))


def _are_many(value: Value, kinds: tuple[type, ...]) -> bool:
    return isinstance(value, tuple) and all(isinstance(each, kinds) for each in value)
