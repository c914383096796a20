"""The tables of a regroove order: values with limits, grooves, steps to measure."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inspections.decisions.records import (
    GrooveToTurn,
    OrderLine,
    RegrooveOrder,
    SourcedReason,
)
from inspections.decisions.records.option import Source
from inspections.reasons import Term
from reports import content
from reports.composition import reasons, words
from reports.composition.reader import Reader

# Said once, in the note of the table.
_USUAL = Term.TOLERANCE_COMMON_PRACTICE


def cut(
    order: RegrooveOrder, around: Sequence[tuple[str, ...]], *, reader: Reader
) -> content.Table:
    """Return what is to be turned and what must stay, each with limits and source.

    `around` are rows on what a cut means beside the grooves.
    """
    return content.Table(
        title=_("What to turn, and what must stay"),
        columns=(
            content.Column(heading=_("What"), share=2.6),
            content.Column(heading=_("Value"), share=1.6),
            content.Column(heading=_("From, to"), share=1.4),
            content.Column(heading=_("Where it is from"), share=2.0),
        ),
        rows=(*(_line(line, reader=reader) for line in order.lines), *around),
        note=_(
            "Limits from and to are common practice, without a source, where none is "
            "named."
        ),
    )


def grooves(order: RegrooveOrder, *, reader: Reader) -> content.Table:
    """Return every groove: where it is, what is taken, what stays under it."""
    right = content.Align.RIGHT
    return content.Table(
        title=_("Groove by groove"),
        columns=(
            content.Column(heading=_("Groove"), share=0.7),
            content.Column(heading=_("From the face"), align=right),
            content.Column(heading=_("Seat depth"), align=right),
            content.Column(heading=_("To turn at the seat"), align=right),
            content.Column(heading=_("Metal now"), align=right),
            content.Column(heading=_("Metal after"), align=right),
            content.Column(heading=_("At worst"), align=right),
            content.Column(heading=_("Remark"), share=1.1),
        ),
        rows=tuple(_groove(groove, reader=reader) for groove in order.grooves),
        note=_(
            "From the rim face beside groove 1. Metal from the groove bottom to the "
            "underside; at worst: readings two standard deviations low, draft and "
            "run-out at their worst. A dash is not known."
        ),
    )


def steps(
    asked: Sequence[SourcedReason], *, title: str, reader: Reader
) -> content.Table:
    """Return what to measure, with room to write what was found."""
    return content.Table(
        title=title,
        columns=(
            content.Column(heading=_("What"), share=3.3),
            content.Column(heading=_("Source"), share=1.8),
            content.Column(heading=_("Found"), share=1.0),
            content.Column(heading=_("By, on"), share=0.8),
        ),
        rows=tuple(
            (
                words.sentence(reasons.say(reason.said, reader=reader)),
                source(reason.sources, reader=reader),
                "",
                "",
            )
            for reason in asked
        ),
    )


def source(sources: Sequence[Source], *, reader: Reader) -> str:
    """Return where something is from, one after another; a document by its name."""
    return "; ".join(
        reasons.item(each, reader=reader)
        if isinstance(each, Term)
        else words.said(each)
        for each in sources
    )


def _line(line: OrderLine, *, reader: Reader) -> tuple[str, str, str, str]:
    # Words of the register are said as they stand there, where no others are known.
    value = words.said(line.text)
    if line.answer is not None:
        value = reasons.item(line.answer, reader=reader)
    if line.value is not None:
        value = _amount(line.value, line.unit, reader=reader)
        if line.value in (line.lower, line.upper):
            # A value that is its own limit reads like it.
            is_upper = line.value == line.upper
            value = _bound(line, line.value, reader=reader, is_upper=is_upper)
    return (
        _capital(reasons.item(line.called, reader=reader)),
        value,
        _limits(line, reader=reader),
        source([s for s in line.sources if s is not _USUAL], reader=reader),
    )


def _limits(line: OrderLine, *, reader: Reader) -> str:
    """Return from where to where a value may be; a dash where nothing is asked."""
    low = _bound(line, line.lower, reader=reader, is_upper=False)
    high = _bound(line, line.upper, reader=reader, is_upper=True)
    if low and high:
        return _("%(low)s to %(high)s") % {"low": low, "high": high}
    if low:
        return _("at least %(low)s") % {"low": low}
    return _("at most %(high)s") % {"high": high} if high else "–"


def _bound(
    line: OrderLine, bound: float | None, *, reader: Reader, is_upper: bool
) -> str:
    """Return a limit, its last digit on the safe side; "" for none."""
    if bound is None:
        return ""
    if line.unit == "mm":
        return reader.length_within(bound, is_upper=is_upper)
    return _amount(bound, line.unit, reader=reader)


def _amount(value: float, unit: str, *, reader: Reader) -> str:
    if unit == "mm":
        return reader.length(value)
    if unit == "deg":
        return reader.local(f"{value:g}°")
    return reader.local(f"{value:g} {unit}".rstrip())


def _groove(groove: GrooveToTurn, *, reader: Reader) -> tuple[str, ...]:
    marks = (
        (_("deepest seat"), groove.is_deepest),
        (_("least metal"), groove.is_thinnest),
    )
    values = (
        groove.axial_mm,
        groove.seat_depth_mm,
        groove.turn_at_seat_mm,
        groove.metal_now_mm,
        groove.metal_after_mm,
        groove.metal_after_worst_mm,
    )
    return (
        str(groove.number),
        *(_length(value, reader=reader) for value in values),
        ", ".join(text for text, is_set in marks if is_set),
    )


def _length(value: float | None, *, reader: Reader) -> str:
    if value is None:
        return "–"
    return reader.length(value).replace("-", "−")


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
