"""A bare document with the pages, tables and figure elements of one of ours.

What is drawn of our document is written down page by page: each paragraph, each table
of data with the text of its cells, each figure's shapes. The bare document has the same
ones, set by the library alone: its own fonts and styles, nothing checked, escaped,
tagged, bookmarked, kept together, counted or headed.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any
from unittest.mock import patch
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing, Group, Shape, String
from reportlab.lib import colors
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import (
    Flowable,
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Table,
)

from reports import content
from reports.pdf import document, flow, tables, text

# A page in points that holds whatever one of ours holds, whatever the font.
PAPER = (595.0, 2400.0)


@dataclass(slots=True, kw_only=True)
class Drawn:
    """What was drawn, page by page: paragraphs, rows of tables, figures."""

    pages: dict[int, list[Any]] = field(default_factory=dict)
    table: list[list[str]] | None = None

    @property
    def counts(self) -> dict[str, int]:
        """Return how many pages, paragraphs, tables, cells and figure elements."""
        items = [item for page in self.pages.values() for item in page]
        tables = [item for item in items if isinstance(item, list)]
        drawings = [item for item in items if isinstance(item, Drawing)]
        return {
            "pages": max(self.pages, default=0),
            "paragraphs": sum(isinstance(item, str) for item in items),
            "tables": len(tables),
            "table_cells": sum(len(row) for rows in tables for row in rows),
            "figure_elements": sum(len(list(_shapes(d))) for d in drawings),
        }


@contextmanager
def recording() -> Iterator[Drawn]:
    """Write down what is drawn inside the block."""
    drawn = Drawn()
    paragraph, figure, table = (
        text.TaggedParagraph.draw,
        flow.Figure.draw,
        tables.Data.draw,
    )

    def put(flowable: Any, item: Any) -> None:
        drawn.pages.setdefault(flowable.canv.getPageNumber(), []).append(item)

    def draw_paragraph(self: Any) -> None:
        if drawn.table is not None:
            drawn.table.append(self.getPlainText())
        else:
            put(self, self.getPlainText())
        paragraph(self)

    def draw_figure(self: Any) -> None:
        put(self, self._drawing)
        figure(self)

    def draw_table(self: Any) -> None:
        drawn.table, columns = [], self._ncols
        table(self)
        cells, drawn.table = drawn.table, None
        put(self, [cells[n : n + columns] for n in range(0, len(cells), columns)])

    with (
        patch.object(text.TaggedParagraph, "draw", draw_paragraph),
        patch.object(flow.Figure, "draw", draw_figure),
        patch.object(tables.Data, "draw", draw_table),
    ):
        yield drawn


def recorded(frozen: content.Content) -> Drawn:
    """Return what is drawn of a document."""
    with recording() as drawn:
        document.draw(document=frozen)
    return drawn


def build(drawn: Drawn) -> bytes:
    """Return the bare document."""
    style = getSampleStyleSheet()["BodyText"]
    style.fontSize, style.leading, style.spaceBefore = 7.6, 10, 0
    story: list[Flowable] = []
    for number in sorted(drawn.pages):
        if story:
            story.append(PageBreak())
        story += [_flowable(item, style) for item in drawn.pages[number]]
    target = BytesIO()
    template = SimpleDocTemplate(target, pagesize=PAPER, topMargin=20, bottomMargin=20)
    template.build(story)
    return target.getvalue()


def _flowable(item: Any, style: Any) -> Flowable:
    if isinstance(item, str):
        return Paragraph(escape(item), style)
    if isinstance(item, Drawing):
        return item
    widest = max(len(row) for row in item)
    rows = [
        [Paragraph(escape(cell), style) for cell in row] + [""] * (widest - len(row))
        for row in item
    ]
    return Table(
        rows,
        colWidths=[480.0 / widest] * widest,
        repeatRows=1,
        style=[("LINEBELOW", (0, 0), (-1, -1), 0.3, colors.grey)],
    )


def plain(drawing: Drawing) -> Drawing:
    """Return a figure's shapes with the library's own font."""
    copied = drawing.copy()
    for shape in _shapes(copied):
        if isinstance(shape, String):
            shape.fontName = "Helvetica"
    return copied


def _shapes(group: Any) -> Iterator[Shape]:
    for shape in group.contents:
        if isinstance(shape, Group):
            yield from _shapes(shape)
        else:
            yield shape
