"""Changes that were tried on paper: a chapter apart from the machines as they are."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph


def chapter(tried: Sequence[content.TriedChange], sheet: Sheet) -> list[Flowable]:
    """Return the chapter; nothing where no change is shown."""
    if not tried:
        return []
    wording, width = sheet.wording, sheet.width
    note = paragraph(wording.tried_note, style=styles.LEAD)
    drawn: list[Flowable] = [
        blocks.chapter(wording.tried, note, key="tried"),
        paragraph(wording.tried_caution, style=styles.BODY),
    ]
    for one in tried:
        about = blocks.rows(one.about, width=width, label_share=0.24)
        drawn += [blocks.gap(10), blocks.section(one.title, about, width=width)]
        if one.moved_on:
            warned = paragraph([Run(text=one.moved_on, bold=True)], style=styles.BODY)
            drawn += [blocks.gap(6), warned]
        for table in (one.findings, one.traction, one.dates, one.figures):
            if table is not None:
                drawn += blocks.titled_table(
                    table, width=width, wording=wording, air=blocks.CLOSE
                )
    return drawn
