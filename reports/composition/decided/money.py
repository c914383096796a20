"""Sums as documents say them: a range, or what is missing for one; never a rate."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.formats import number_format
from django.utils.translation import gettext as _

from inspections.engineering.verdict import Item
from inspections.options import saying
from inspections.reasons import Term
from reports.composition.decided import spoken
from reports.composition.reader import Reader

_MOST_NAMED = 3


def cost(said: Mapping[str, Any], *, reader: Reader) -> str:
    """Return what an option costs by the contractor's rates, from low to high."""
    low, mid, high = (said.get(name) for name in ("low", "mid", "high"))
    if low is None or mid is None or high is None:
        return _("not estimated: %(items)s") % {
            "items": missing(saying.items_of(said, "missing"), reader=reader)
        }
    if high == 0:
        return _("nothing beside the usual visits")
    currency = said["currency"]
    if round(low) == round(high):
        return amount(mid, currency)
    return _("%(range)s, likely %(likely)s") % {
        "range": between(low, high, currency),
        "likely": number(mid),
    }


def in_brief(said: Mapping[str, Any], *, reader: Reader) -> str:
    """Return what it costs as page one has room for: why not, stands elsewhere."""
    if None in (said.get("low"), said.get("mid"), said.get("high")):
        return _("not estimated")
    return cost(said, reader=reader)


def between(low: float, high: float, currency: str) -> str:
    """Return a range of amounts."""
    if round(low) == round(high):
        return amount(low, currency)
    return _("%(currency)s %(low)s to %(high)s") % {
        "currency": currency,
        "low": number(low),
        "high": number(high),
    }


def amount(value: float, currency: str) -> str:
    """Return one amount in whole units."""
    return f"{currency} {number(value)}"


def number(value: float) -> str:
    """Return an amount's number, its thousands set apart as the language does."""
    return str(
        number_format(round(value), decimal_pos=0, use_l10n=True, force_grouping=True)
    )


def missing(items: Sequence[Item], *, reader: Reader) -> str:
    """Return what no amount can be said without, the first few by name."""
    if Term.CURRENCY in items:
        return _("the contractor's rates")
    named = spoken.listed(items[:_MOST_NAMED], reader=reader)
    rest = len(items) - _MOST_NAMED
    if rest <= 0:
        return named
    return _("%(names)s and %(count)s more") % {"names": named, "count": rest}
