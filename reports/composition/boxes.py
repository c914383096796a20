"""The steps of a field sheet: one for each kind of reading, a box for each place."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from django.utils.translation import gettext as _

from inspections.inputs import Snapshot
from inspections.kinds import KINDS
from inspections.models import Reading
from inspections.worklist import ListedReading, ListedStep
from inspections.worklist.listed import LimitHeldAgainst
from reports import content
from reports.composition import reasons, words
from reports.composition.reader import Reader

_METRIC = ("mm", "cm", "m", "um")
_MOST_REASONS = 2
_MOST_LIMITS = 3


def kinds_of(step: ListedStep) -> str:
    """Return what is read in a step, in words."""
    return ", ".join(words.kind(kind) for kind in _kinds(step.items))


def steps_of(
    step: ListedStep, *, snapshot: Snapshot, reader: Reader
) -> Iterator[content.SheetStep]:
    """Yield a step for each kind of reading; the first carries the minutes of all."""
    for number, (kind, found) in enumerate(groupby(step.items, lambda i: i.kind)):
        items = list(found)
        time = _("%(minutes)s min") % {"minutes": step.minutes}
        yield content.SheetStep(
            what=_capital(words.kind(kind)),
            how=words.said(KINDS[kind].how),
            gauge=words.said(items[0].gauge),
            time=time if number == 0 else _("in the same time"),
            limit=_limits(items, reader=reader),
            unit=reader.unit_of(items[0].unit),
            boxes=_boxes(items, snapshot=snapshot, reader=reader),
            why=_why(items, reader=reader),
            watch=_watch(items, reader=reader),
        )


def _kinds(items: Sequence[ListedReading]) -> list[str]:
    return list(dict.fromkeys(item.kind for item in items))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _why(items: Sequence[ListedReading], *, reader: Reader) -> str:
    """Return the most pressing reasons of a kind, each once."""
    ranked = sorted(
        (reason for item in items for reason in item.reasons), key=lambda r: r.why
    )
    told = dict.fromkeys(reasons.say(r.said, reader=reader) for r in ranked)
    return "; ".join(list(told)[:_MOST_REASONS])


def _limits(items: Sequence[ListedReading], *, reader: Reader) -> str:
    """Return the limits that the very numbers read are held against."""
    told, calculated = set(), set()
    for item in items:
        last, limit = item.last, item.limit
        if limit is None:
            continue
        criterion = _criterion(limit, reader=reader)
        if last and (limit.judged, limit.unit) == (last.value, item.unit):
            told.add(f"{criterion} {_quantity(limit.value, item, reader)}")
        else:
            calculated.add(
                f"{criterion} {reader.quantity(limit.value, limit.unit)}".rstrip()
            )
    if told:
        return "; ".join(sorted(told)[:_MOST_LIMITS])
    if calculated:
        named = "; ".join(sorted(calculated)[: _MOST_LIMITS - 1])
        return _("of what is calculated from it: %(limits)s") % {"limits": named}
    if not all(KINDS[item.kind].is_worded for item in items):
        return _("none for this number by itself")
    return ""


def _criterion(limit: LimitHeldAgainst, *, reader: Reader) -> str:
    if limit.rule:
        return reasons.name(limit.rule, reader=reader)
    return reasons.as_then(limit.criterion)


def _watch(items: Sequence[ListedReading], *, reader: Reader) -> str:
    """Return what would surprise at every place alike."""
    if any(KINDS[item.kind].unsafe_words for item in items):
        return _("a defect is told at once")
    return _again(_common(items, reader=reader))


def _common(items: Sequence[ListedReading], *, reader: Reader) -> list[str]:
    """Return the ends beyond which any of the readings would surprise."""
    first, *others = [_ends(item, reader=reader) for item in items]
    return [end for end in first if all(end in other for other in others)]


def _ends(item: ListedReading, *, reader: Reader) -> list[str]:
    low, high = item.surprising.at_or_below, item.surprising.at_or_above
    return [
        f"{sign} {_bound(end, item, reader)}"
        for sign, end in (("≤", low), ("≥", high))
        if end is not None
    ]


def _bound(value: float, item: ListedReading, reader: Reader) -> str:
    if item.unit == "mm":
        return reader.about(value)
    return _quantity(value, item, reader)


def _again(ends: Sequence[str]) -> str:
    """Return at which values to measure once more; empty for none."""
    return _("again if %(ends)s") % {"ends": ", ".join(ends)} if ends else ""


def _quantity(value: float, item: ListedReading, reader: Reader) -> str:
    unit = item.unit if item.unit != "1" else ""
    return reader.quantity(value, unit)


def _boxes(
    items: Sequence[ListedReading], *, snapshot: Snapshot, reader: Reader
) -> tuple[content.SheetBox, ...]:
    """Return a box for each place, with what would surprise there alone."""
    common = _common(items, reader=reader)
    return tuple(
        content.SheetBox(
            label=", ".join(_named(item, place)) or _("machine"),
            last=_told(_last(item, place, snapshot), reader=reader),
            watch=_again([e for e in _ends(item, reader=reader) if e not in common]),
        )
        for item in items
        for place in item.boxes
    )


def _named(item: ListedReading, place: dict[str, Any]) -> Iterator[str]:
    if item.number is not None:
        yield words.place(f"{item.subject.lower()} {item.number}")
    for key, value in place.items():
        if key not in ("window", "station"):
            yield f"{words.said(key.replace('_', ' '))} {words.said(str(value))}"


def _last(
    item: ListedReading, place: dict[str, Any], snapshot: Snapshot
) -> Reading | None:
    """Return the latest reading at a box's own place."""
    found = None
    for reading in snapshot.of_kind(item.kind):
        numbers = {
            "rope": reading.rope.number if reading.rope is not None else None,
            "groove": reading.groove.number if reading.groove is not None else None,
        }
        is_here = numbers.get(item.subject.lower()) == item.number
        if is_here and place.items() <= reading.place.items():
            found = reading
    return found


def _told(reading: Reading | None, *, reader: Reader) -> str:
    """Return the last value as it was typed: the gauge shows it that way too.

    Typed in the other family's unit, it stands in the reader's besides.
    """
    if reading is None:
        return ""
    if reading.word:
        return words.said(reading.word)
    unit = "" if reading.typed_unit == "1" else reading.typed_unit
    typed = f"{reading.typed_value} {unit}".rstrip()
    is_length = KINDS[reading.kind].quantity == "length"
    if not is_length or reading.value is None:
        return typed
    if (unit in _METRIC) is reader.is_metric:
        return typed
    return f"{typed} = {reader.length(reading.value)}"
