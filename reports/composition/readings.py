"""The readings behind the findings, labelled by their own ids."""

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import groupby

from django.utils.translation import gettext as _

from inspections.models import Reading, ReadingState
from reports import content
from reports.composition import words
from reports.composition.reader import Reader

# A cell with more readings than this would not be read.
_MOST_A_CELL = 24
# Endings of the names of what was read beside a value -> their unit.
_UNITS = {"_kg": "kg", "_m_s": "m/s", "_mm": "mm", "_m": "m"}


def label(reading: Reading) -> str:
    """Return what a reading is called in every document."""
    return f"R{reading.pk}"


def grouped(found: Iterable[Reading], *, title: str, reader: Reader) -> content.Table:
    """Return readings of one day and kind in one line, each with place and value."""

    def key(reading: Reading) -> tuple[date, str]:
        return reading.taken_at.astimezone(reader.zone).date(), reading.kind

    rows: list[tuple[str, ...]] = []
    ordered = sorted(found, key=lambda r: (*key(r), place_order(r), r.pk))
    for (day, kind), members in groupby(ordered, key=key):
        together = list(members)
        shared = _shared(together)
        for start in range(0, len(together), _MOST_A_CELL):
            part = together[start : start + _MOST_A_CELL]
            what = words.kind(kind)
            rows.append(
                (
                    reader.day(day),
                    f"{what} ({', '.join(shared)})" if shared else what,
                    "; ".join(_said(reading, shared) for reading in part),
                )
            )
    return content.Table(
        title=title,
        columns=(
            content.Column(heading=_("Taken"), share=0.8),
            content.Column(heading=_("What"), share=1.5),
            content.Column(heading=_("Number, where, as read"), share=4.0),
        ),
        rows=tuple(rows),
        note=_("Values and units as they were typed, not converted."),
    )


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


def typed(reading: Reading) -> str:
    """Return a reading's value as it was typed; a word in the active language."""
    if reading.word:
        return words.said(reading.word)
    unit = "" if reading.typed_unit == "1" else reading.typed_unit
    return f"{reading.typed_value} {unit}".rstrip()


def told(reading: Reading) -> str:
    """Return a reading's value as it was typed, its label and what is said of it."""
    remark = f", {found}" if (found := _remark(reading)) else ""
    return f"{typed(reading)} ({label(reading)}{remark})"


def _said(reading: Reading, shared: Sequence[str]) -> str:
    parts = [part for part in _place_parts(reading) if part not in shared]
    where = f" {', '.join(parts)}:" if parts else ""
    remark = f" ({found})" if (found := _remark(reading)) else ""
    return f"{label(reading)}{where} {typed(reading)}{remark}"


def _remark(reading: Reading) -> str:
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
