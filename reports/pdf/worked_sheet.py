"""What was calculated of a machine, with formulas and the numbers put in."""

from collections.abc import Sequence
from dataclasses import replace

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_BETWEEN_LINES = 0.6
_MANY_ROWS = 8
# Sign, what it is, its value.
_SHARES = (0.7, 2.6, 2.1)


def traction(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the traction sheet; nothing where no traction was calculated."""
    found, width = machine.traction, sheet.width
    if found is None:
        return _lines(machine.worked, sheet)
    about = blocks.rows(found.about, width=width, label_share=0.2)
    drawn: list[Flowable] = [
        blocks.section(found.title, about, width=width),
        *_table(found.cases, sheet),
        *_in_halves(found.values, sheet),
        blocks.gap(8),
        paragraph(found.note, style=styles.NOTE),
        *_lines(found.worked, sheet),
    ]
    if found.others is not None:
        drawn += _table(found.others, sheet)
    return [*drawn, *_lines(machine.worked, sheet)]


def _table(table: content.Table, sheet: Sheet) -> list[Flowable]:
    return blocks.titled_table(
        table, width=sheet.width, wording=sheet.wording, air=blocks.CLOSE
    )


def _in_halves(table: content.Table, sheet: Sheet) -> list[Flowable]:
    """Return a long table with its second half beside the first.

    What it is from stands behind each value, so that signs and words have room.
    """
    *columns, origin = table.columns
    if len(table.rows) < _MANY_ROWS or len(columns) != len(_SHARES):
        return _table(table, sheet)
    rows = [(*row[:-2], f"{row[-2]}  ·  {row[-1]}") for row in table.rows]
    half = (len(rows) + 1) // 2
    rows += [("",) * len(columns)] * (2 * half - len(rows))
    columns[-1] = replace(
        columns[-1], heading=f"{columns[-1].heading}  ·  {origin.heading}"
    )
    shared = [replace(c, share=s) for c, s in zip(columns, _SHARES, strict=True)]
    beside = replace(
        table,
        columns=(*shared, *shared),
        rows=tuple(
            (*one, *other) for one, other in zip(rows[:half], rows[half:], strict=True)
        ),
    )
    return _table(beside, sheet)


def _lines(parts: Sequence[content.WorkedPart], sheet: Sheet) -> list[Flowable]:
    """Return each part under its name: a line for each result."""
    drawn: list[Flowable] = []
    for part in parts:
        name = paragraph([Run(text=part.name, bold=True)], style=styles.SUBHEAD)
        rows = blocks.rows(
            part.lines, width=sheet.width, label_share=0.3, air=_BETWEEN_LINES
        )
        drawn += [blocks.gap(5), blocks.under(name, rows)]
    return drawn
