"""Tables as a reader who hears them takes them: layout, data, facts, lists.

Most grids of a page only set things beside each other; their rules and backgrounds are
decoration, and what stands in them is read in order. Tables of data, labels with their
values and lists are elements of the structure. What is split over pages stays one.
"""

from typing import Any

from reportlab.platypus import Flowable, Table

from reports.pdf import flow, tagging

_COLUMN, _ROW = (f"/A<</O/Table/Scope/{scope}>>" for scope in ("Column", "Row"))


class Plain(Table):  # type: ignore[misc]
    """A grid whose rules and backgrounds are decoration in the structure."""

    def split(self, width: float, height: float) -> list[Flowable]:
        """Return parts: split between rows; within one that no page is high enough for.

        A row that only does not fit any more goes to the next page whole, so that what
        stands at its head is read beside all of it.
        """
        self.splitInRow = 0
        parts: list[Flowable] = super().split(width, height)
        self.splitInRow = 1
        if parts or height < flow.ENOUGH_ROOM:
            return parts
        return list(super().split(width, height))

    def _drawLines(self) -> None:  # noqa: N802, the library's name
        with tagging.marked(self.canv, ""):
            super()._drawLines()

    def _drawBkgrnd(self) -> None:  # noqa: N802, the library's name
        with tagging.marked(self.canv, ""):
            super()._drawBkgrnd()


class _Tagged(Plain):
    """A grid that is an element of the structure, over all pages the same one."""

    row = 0
    _whole: object = None
    _goes_on = False

    def split(self, width: float, height: float) -> list[Flowable]:
        """Return parts that know that they are parts of one."""
        parts = super().split(width, height)
        whole = self._whole or object()
        for index, part in enumerate(parts):
            if isinstance(part, _Tagged) and part is not self:
                part._whole = whole
                part._goes_on = self._goes_on or index > 0
        return parts

    def draw(self) -> None:
        """Draw the grid as an element that holds its rows."""
        if isinstance(self.canv, tagging.TaggedCanvas):
            self._renderCB = _tell
            self._whole = self._whole or object()
        super().draw()

    def begin_row(self, canvas: tagging.TaggedCanvas, row: int) -> None:
        """Begin a row; the head of a table is read once, not on every page."""
        if self._is_read_already(row):
            canvas.begin_decoration(tagging.FRAME)
        canvas.open_element("Table", whole=self._whole)
        canvas.open_element("TR")

    def end_row(self, canvas: tagging.TaggedCanvas, row: int) -> None:
        """End a row."""
        canvas.close_element()
        canvas.close_element()
        if self._is_read_already(row):
            canvas.end_decoration()

    def begin_cell(self, canvas: tagging.TaggedCanvas, row: int, column: int) -> None:
        """Begin a cell."""
        raise NotImplementedError

    def end_cell(self, canvas: tagging.TaggedCanvas) -> None:
        """End a cell."""
        canvas.close_element()

    def _is_read_already(self, row: int) -> bool:
        return self._goes_on and row < int(self.repeatRows)


class Data(_Tagged):
    """A table of data: its head says what stands in a column."""

    def begin_cell(self, canvas: tagging.TaggedCanvas, row: int, column: int) -> None:
        """Begin a cell; those of the head are heads of their columns."""
        is_head = row == 0 and not self._goes_on
        canvas.open_element("TH" if is_head else "TD", _COLUMN if is_head else "")


class Facts(_Tagged):
    """Labels with their values beside them: each label is the head of its row."""

    def begin_cell(self, canvas: tagging.TaggedCanvas, row: int, column: int) -> None:
        """Begin a cell."""
        is_head = column == 0
        canvas.open_element("TH" if is_head else "TD", _ROW if is_head else "")


class List(_Tagged):
    """A list: a bullet and what it stands before, row by row.

    A row without anything beside it heads the list and is read before it.
    """

    def begin_row(self, canvas: tagging.TaggedCanvas, row: int) -> None:
        """Begin an item."""
        if self._is_item(row):
            canvas.open_element("L", whole=self._whole)
            canvas.open_element("LI")

    def end_row(self, canvas: tagging.TaggedCanvas, row: int) -> None:
        """End an item."""
        if self._is_item(row):
            canvas.close_element()
            canvas.close_element()

    def begin_cell(self, canvas: tagging.TaggedCanvas, row: int, column: int) -> None:
        """Begin the bullet, or what it stands before."""
        canvas.open_element(
            ("LBody" if column else "Lbl") if self._is_item(row) else "Div"
        )

    def _is_item(self, row: int) -> bool:
        return bool(self._cellvalues[row][-1])


def _tell(table: _Tagged, event: str, *place: Any) -> None:
    """Open and close rows and cells; the library calls this while it draws."""
    canvas = table.canv
    if event == "startRow":
        table.row = place[0]
        table.begin_row(canvas, table.row)
    elif event == "startCell":
        table.begin_cell(canvas, place[0], place[1])
    elif event == "endCell":
        table.end_cell(canvas)
    elif event == "endRow":
        table.end_row(canvas, table.row)
