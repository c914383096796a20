"""The readings behind the findings, labelled by their own ids."""

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import groupby

from django.utils.translation import gettext as _

from inspections.models import Reading, ReadingState
from inspections.reasons import Place
from inspections.reasons import place_of as place_named
from reports import content
from reports.composition import words
from reports.composition.reader import Reader

# Endings of the names of what was read beside a value -> their unit.
_UNITS = {"_kg": "kg", "_m_s": "m/s", "_mm": "mm", "_m": "m"}


def label(reading: Reading) -> str:
    """Return what a reading is called in every document."""
    return f"R{reading.pk}"


def in_lines(found: Iterable[Reading], *, title: str, reader: Reader) -> content.Table:
    """Return a line for each reading, in two halves; of one kind and day together."""

    def key(reading: Reading) -> tuple[date, str]:
        return reading.taken_at.astimezone(reader.zone).date(), reading.kind

    lines: list[tuple[str, str, str]] = []
    ordered = sorted(found, key=lambda r: (*key(r), place_order(r), r.pk))
    for (day, kind), members in groupby(ordered, key=key):
        together = list(members)
        shared = _shared(together)
        what = f"{words.kind(kind)}, {reader.day(day)}"
        if shared:
            what += f" ({', '.join(shared)})"
        lines += [(what, place_without(one, shared), told(one)) for one in together]
    half = (len(lines) + 1) // 2
    first, second = _named_once(lines[:half]), _named_once(lines[half:])
    second += [("", "", "")] * (len(first) - len(second))
    columns = (
        content.Column(heading=_("What"), share=1.5),
        content.Column(heading=_("Where"), share=1.8),
        content.Column(heading=_("Read"), share=1.3),
    )
    return content.Table(
        title=title,
        columns=(*columns, *columns),
        rows=tuple((*one, *other) for one, other in zip(first, second, strict=True)),
        note=_("Values and units as they were typed, not converted."),
    )


def _named_once(lines: Sequence[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """Return lines whose name stands only where another one begins."""
    before = ["", *(what for what, _where, _read in lines)]
    return [
        ("" if what == last else what, where, read)
        for last, (what, where, read) in zip(before, lines, strict=False)
    ]


def day_of(reading: Reading, reader: Reader) -> date:
    """Return the day a reading was taken, by the building's own calendar."""
    return reading.taken_at.astimezone(reader.zone).date()


def place_of(reading: Reading) -> str:
    """Return where a reading was taken."""
    return ", ".join(_place_parts(reading)) or _("machine")


def shared_place(found: Sequence[Reading]) -> list[str]:
    """Return the parts of the place that all of several readings have."""
    return _shared(found)


def place_without(reading: Reading, shared: Sequence[str]) -> str:
    """Return where a reading was taken, less what stands in the heading already."""
    parts = [part for part in _place_parts(reading) if part not in shared]
    return ", ".join(parts) or ("" if shared else _("machine"))


def part_of(reading: Reading) -> Place | None:
    """Return the rope or groove that was read, where its place is nothing else."""
    if (reading.rope is None) == (reading.groove is None):
        return None
    if reading.rope is not None:
        return place_named(f"rope {reading.rope.number}")
    return place_named(f"groove {reading.groove.number}") if reading.groove else None


def typed(reading: Reading) -> str:
    """Return a reading's value as it was typed; a word in the active language."""
    if reading.word:
        return words.said(reading.word)
    unit = "" if reading.typed_unit == "1" else reading.typed_unit
    return f"{reading.typed_value} {unit}".rstrip()


def told(reading: Reading) -> str:
    """Return a reading's value as it was typed, its label and what is said of it."""
    said = f", {found}" if (found := remark(reading)) else ""
    return f"{typed(reading)} ({label(reading)}{said})"


def remark(reading: Reading) -> str:
    """Return what is said of a reading besides, such as held back; "" for none."""
    remarks = []
    if reading.state == ReadingState.HELD:
        # "Held" alone is what a test says of the ropes.
        remarks.append(_("held back, not used"))
    elif reading.state != ReadingState.STORED:
        remarks.append(words.said(str(reading.get_state_display())))
    if reading.corrects_id is not None:
        remarks.append(_("corrects R%(id)s") % {"id": reading.corrects_id})
    return ", ".join(remarks)


def _shared(found: Sequence[Reading]) -> list[str]:
    """Return the parts of the place that all of several readings have."""
    if len(found) < 2:
        return []
    first, *others = [_place_parts(reading) for reading in found]
    return [part for part in first if all(part in other for other in others)]


def _place_parts(reading: Reading) -> list[str]:
    parts: list[str] = []
    if reading.groove is not None:
        parts.append(words.place(f"groove {reading.groove.number}"))
    if reading.rope is not None:
        parts.append(words.place(f"rope {reading.rope.number}"))
    parts += [_told_of(key, value) for key, value in reading.place.items()]
    return parts


def _told_of(key: str, value: object) -> str:
    """Return a part of the place with the unit that its name ends in."""
    name, unit = part_and_unit(key)
    return f"{words.said(name)} {words.said(str(value))} {unit}".rstrip()


def part_and_unit(key: str) -> tuple[str, str]:
    """Return a part of a place and its unit: ("load", "kg") of "load_kg"."""
    for ending, unit in _UNITS.items():
        if key.endswith(ending):
            return key.removesuffix(ending).replace("_", " "), unit
    return key.replace("_", " "), ""


def place_order(reading: Reading) -> tuple[int, int, str]:
    """Return what readings are put in order by: groove, rope, then the place."""
    return (
        reading.groove.number if reading.groove is not None else 0,
        reading.rope.number if reading.rope is not None else 0,
        str(sorted(reading.place.items())),
    )
