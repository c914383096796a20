"""The readings behind the findings, labelled by their own ids."""

from django.utils.translation import gettext as _

from inspections.models import Reading, ReadingState
from reports import content
from reports.composition import words
from reports.composition.reader import Reader
from reports.queries import MachineFacts


def readings_table(
    facts: MachineFacts, *, reader: Reader
) -> tuple[dict[int, str], content.Table | None]:
    """Return labels of the readings behind the findings, and their table.

    A label is the reading's id, which the API answers to.
    """
    used = sorted({pk for f in facts.findings for pk in f.readings})
    found = [facts.readings[pk] for pk in used if pk in facts.readings]
    labels = {reading.pk: f"R{reading.pk}" for reading in found}
    if not found:
        return labels, None
    return labels, content.Table(
        title=f"{facts.machine.code}  {facts.machine.name}",
        columns=(
            content.Column(heading=_("No."), share=0.7),
            content.Column(heading=_("What"), share=1.6),
            content.Column(heading=_("Where"), share=1.8),
            content.Column(heading=_("As read"), align=content.Align.RIGHT, share=0.9),
            content.Column(heading=_("Taken"), share=1.0),
            content.Column(heading=_("Remark"), share=1.0),
        ),
        rows=tuple(_row(reading, reader=reader) for reading in found),
        note=_("Values and units as they were typed, not converted."),
    )


def place_of(reading: Reading) -> str:
    """Return where a reading was taken."""
    parts: list[str] = []
    if reading.groove is not None:
        parts.append(words.place(f"groove {reading.groove.number}"))
    if reading.rope is not None:
        parts.append(words.place(f"rope {reading.rope.number}"))
    parts += [
        f"{words.said(key.replace('_', ' '))} {words.said(str(value))}"
        for key, value in reading.place.items()
    ]
    return ", ".join(parts) or _("machine")


def typed(reading: Reading) -> str:
    """Return a reading's value as it was typed; a word in the active language."""
    if reading.word:
        return words.said(reading.word)
    unit = "" if reading.typed_unit == "1" else reading.typed_unit
    return f"{reading.typed_value} {unit}".rstrip()


def _row(reading: Reading, *, reader: Reader) -> tuple[str, ...]:
    remarks = []
    if reading.state != ReadingState.STORED:
        remarks.append(words.said(reading.get_state_display()))
    if reading.corrects_id is not None:
        remarks.append(_("corrects R%(id)s") % {"id": reading.corrects_id})
    return (
        f"R{reading.pk}",
        words.kind(reading.kind),
        place_of(reading),
        typed(reading),
        reader.day(reading.taken_at),
        ", ".join(remarks),
    )
