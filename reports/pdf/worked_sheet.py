"""What was calculated of a machine, with formulas and the numbers put in."""

from collections.abc import Sequence
from dataclasses import replace

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, exhibits, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_BETWEEN_LINES = 0.6
_GUTTER = 22.0


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
    """Return a long table in two halves beside each other, read one after the other."""
    half = (len(table.rows) + 1) // 2
    parts = (table.rows[:half], table.rows[half:])
    if not parts[1]:
        return _table(table, sheet)
    room = (sheet.width - _GUTTER) / 2
    left, right = (
        blocks.table(replace(table, rows=rows), width=room, air=blocks.CLOSE)
        for rows in parts
    )
    if not exhibits.are_short((left, room), (right, room)):
        return _table(table, sheet)
    beside = exhibits.together([[left, "", right]], [room, _GUTTER, room], sheet)
    return [blocks.section(table.title, beside, width=sheet.width)]


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
