"""The portfolio's wish in the address, and back: what can be kept as a bookmark."""

from dataclasses import replace
from typing import Any

from django.utils.http import urlencode

from inspections import overview
from inspections.overview import Wish

_MOST_PAGES = 10_000
_LONGEST_ID = 18
_LONGEST_TEXT = 100


def wish_of(asked: Any) -> Wish:
    """Return what an address asks for; what there is not is left out."""
    order = asked.get("order", "")
    return Wish(
        state=asked.get("state", "") if asked.get("state") in overview.STATES else "",
        unchecked=asked.get("unchecked") == "1",
        text=text_of(asked, "text", most=_LONGEST_TEXT),
        building=number_of(asked, "building"),
        owner=number_of(asked, "owner"),
        order=order if order in overview.ORDERS else overview.ORDERS[0],
        page=min(max(number_of(asked, "page") or 1, 1), _MOST_PAGES),
    )


def address_of(wish: Wish, **changes: Any) -> str:
    """Return the address's query of a wish, "?" with nothing that is usual."""
    changed = replace(wish, **({"page": 1} | changes))
    usual = Wish()
    names = ("state", "unchecked", "text", "building", "owner", "order", "page")
    said = {name: getattr(changed, name) for name in names}
    said["unchecked"] = int(changed.unchecked)
    return "?" + urlencode(
        {k: v for k, v in said.items() if v != getattr(usual, k) and v is not None}
    )


def number_of(asked: Any, name: str) -> int | None:
    """Return a whole number of an address or a form; None for anything else."""
    text = asked.get(name, "")
    plain = text.isascii() and text.isdigit() and len(text) <= _LONGEST_ID
    return int(text) if plain else None


def text_of(asked: Any, name: str, *, most: int) -> str:
    """Return what was typed, without spaces around it and without NUL."""
    found: str = asked.get(name, "").replace("\0", "").strip()[:most]
    return found
