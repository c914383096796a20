"""The portfolio strip in the flow of a page: it goes on where a page ends."""

from collections.abc import Mapping
from dataclasses import replace

from reportlab.platypus import Flowable

from reports import content
from reports.figures import portfolio_strip
from reports.pdf import blocks, flow, styles, tagging
from reports.pdf.page import Sheet
from reports.pdf.spoken import spoken
from reports.pdf.text import paragraph

_FEWEST_ROWS = 5


class StripRows(Flowable):  # type: ignore[misc]
    """A portfolio strip that splits between machines, its axis under each part."""

    def __init__(
        self,
        strip: content.PortfolioStrip,
        wording: content.Wording,
        width: float,
        links: Mapping[str, str],
    ) -> None:
        super().__init__()
        self._strip, self._wording, self._wide = strip, wording, width
        self._links = links

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size of all rows."""
        return self._wide, portfolio_strip.height(len(self._strip.rows))

    def split(self, width: float, height: float) -> list[Flowable]:
        """Return the rows that fit and the rest; nothing if too few fit."""
        rows = self._strip.rows
        fitting = portfolio_strip.rows_within(height)
        # Never leave a lonely row or two for the next page.
        fitting = min(fitting, len(rows) - 2)
        if fitting < min(_FEWEST_ROWS, len(rows)):
            return []
        return [
            StripRows(
                replace(self._strip, rows=part), self._wording, self._wide, self._links
            )
            for part in (rows[:fitting], rows[fitting:])
        ]

    def draw(self) -> None:
        """Draw the rows."""
        drawing = portfolio_strip.portfolio_strip(
            strip=self._strip, wording=self._wording, width=self._wide
        )
        place = tagging.figure_attributes(self.canv, drawing.width, drawing.height)
        words = spoken(self._strip, self._wording)
        with tagging.marked(self.canv, "Figure", words, place):
            drawing.drawOn(self.canv, 0, 0)
        for number, row in enumerate(self._strip.rows):
            if row.label in self._links:
                low = portfolio_strip.floor_of(number, rows=len(self._strip.rows))
                rectangle = (0, low, self._wide, low + portfolio_strip.ROW)
                self.canv.linkRect(
                    row.label, self._links[row.label], rectangle, relative=1
                )


def strip(
    record: content.PortfolioStrip,
    sheet: Sheet,
    *,
    links: Mapping[str, str] | None = None,
) -> list[Flowable]:
    """Return the strip under its heading; nothing where there is no machine.

    A row whose label is in ``links`` leads to that bookmark.
    """
    if not record.rows:
        return []
    rows = StripRows(record, sheet.wording, sheet.width, links or {})
    drawn: list[Flowable] = [blocks.section(record.title, rows, width=sheet.width)]
    if record.caption:
        note = paragraph(record.caption, style=styles.NOTE)
        drawn.append(blocks.grid([[note]], [sheet.width]))
    if len(record.rows) <= _FEWEST_ROWS:
        # What is never torn keeps its words beside it.
        return [flow.Stack(drawn, page_height=sheet.body_height)]
    return drawn
