"""What was calculated of a machine, with formulas and the numbers put in."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph


def traction(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the traction sheet; nothing where no traction was calculated."""
    found, width = machine.traction, sheet.width
    if found is None:
        return _lines(machine.worked, sheet)
    about = blocks.rows(found.about, width=width, label_share=0.2)
    drawn: list[Flowable] = [
        blocks.section(found.title, about, width=width),
        *_table(found.cases, sheet),
        *_table(found.values, sheet),
        blocks.gap(8),
        paragraph(found.note, style=styles.NOTE),
        *_lines(found.worked, sheet),
    ]
    if found.others is not None:
        drawn += _table(found.others, sheet)
    return [*drawn, *_lines(machine.worked, sheet)]


def _table(table: content.Table, sheet: Sheet) -> list[Flowable]:
    return blocks.titled_table(table, width=sheet.width, wording=sheet.wording)


def _lines(parts: Sequence[content.WorkedPart], sheet: Sheet) -> list[Flowable]:
    """Return each part under its name: a line for each result."""
    drawn: list[Flowable] = []
    for part in parts:
        name = paragraph([Run(text=part.name, bold=True)], style=styles.SUBHEAD)
        rows = blocks.rows(part.lines, width=sheet.width, label_share=0.3)
        drawn += [blocks.gap(8), blocks.under(name, rows)]
    return drawn
