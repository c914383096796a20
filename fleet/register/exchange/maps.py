"""Maps inside one cell: where values come from, how sure they are, own limits."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

from fleet.platform.choices import FieldSource
from fleet.register import own_limits
from fleet.register.exchange import numbers
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.problems import CellRefused

_MOST_SPREAD = 1e9
_FORM_OF_OVERRIDES = '{"limit code": {"value": 0.45, "source": "maker\'s letter"}}'


@dataclass(frozen=True, slots=True, kw_only=True)
class MapForm:
    """How one map stands in a cell."""

    takes: str
    read: Callable[..., dict[str, Any]]
    write: Callable[[Mapping[str, Any]], str]


def _read_pairs(
    text: str, *, names: set[str], one: Callable[[str, str], Any]
) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for pair in text.split(";"):
        name, mark, value = (part.strip(" ") for part in pair.partition("="))
        if not pair.strip(" "):
            continue
        if not mark:
            raise CellRefused(f"{pair.strip()[:40]!r} is not written name=value")
        if name not in names:
            raise CellRefused(f"{name[:60]!r} is no column here")
        if name in found:
            raise CellRefused(f"{name} stands twice")
        found[name] = one(name, value)
    return found


def _write_pairs(found: Mapping[str, Any]) -> str:
    return "; ".join(
        f"{name}={value if isinstance(value, str) else numbers.write_number(value)}"
        for name, value in sorted(found.items())
    )


def _read_sources(text: str, *, names: set[str], dialect: Dialect) -> dict[str, Any]:
    def one(name: str, value: str) -> str:
        if value not in FieldSource.values:
            raise CellRefused(
                f"{name}={value[:20]}: use one of {', '.join(FieldSource.values)}"
            )
        return value

    return _read_pairs(text, names=names, one=one)


def _read_spreads(text: str, *, names: set[str], dialect: Dialect) -> dict[str, Any]:
    def one(name: str, value: str) -> float:
        spread = float(numbers.read_number(text=value, dialect=dialect))
        if not 0 <= spread < _MOST_SPREAD:
            raise CellRefused(f"{name}={value}: a standard deviation of 0 or more")
        return spread

    return _read_pairs(text, names=names, one=one)


def _read_overrides(text: str, *, names: set[str], dialect: Dialect) -> dict[str, Any]:
    try:
        found = json.loads(text, parse_constant=_refuse_constant)
        text.encode()
        json.dumps(found, ensure_ascii=False).encode()
    except (ValueError, RecursionError) as error:
        raise CellRefused(f"it is not JSON like {_FORM_OF_OVERRIDES}") from error
    if said := own_limits.refusal(found):
        raise CellRefused(f"{said} Write it like {_FORM_OF_OVERRIDES}")
    return dict(found)


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is not a JSON number")


def _write_overrides(found: Mapping[str, Any]) -> str:
    return json.dumps(found, ensure_ascii=False, sort_keys=True) if found else ""


FORMS = {
    "sources": MapForm(
        takes=f"name=word; name=word, each word one of {', '.join(FieldSource.values)}",
        read=_read_sources,
        write=_write_pairs,
    ),
    "uncertainties": MapForm(
        takes="name=number; name=number, in the unit that the name ends in",
        read=_read_spreads,
        write=_write_pairs,
    ),
    "criteria_overrides": MapForm(
        takes=f"JSON like {_FORM_OF_OVERRIDES}",
        read=_read_overrides,
        write=_write_overrides,
    ),
}
