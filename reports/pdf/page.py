"""The one page frame: running head, running foot, page numbers, page one's box."""

from dataclasses import dataclass
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate, Table
from reportlab.platypus.doctemplate import PageBegin

from reports import content
from reports.figures import lettering, palette
from reports.pdf import blocks, styles, tables, tagging
from reports.pdf.text import Run, paragraph

_TOP = 48.0
_FIRST_TOP = 40.0
_FOOT_GAP = 12.0
# The largest share of page one that cautions may take above its foot.
_LARGEST_CAUTIONS = 0.45
_TOTAL_PAGES = "total-pages"
# The smallest type of any document, in points.
_SMALL = 8.0
# The column of the bullets before cautions, with the box's own edge.
_BULLET = 19.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """What the frame of every page of one document needs to know."""

    masthead: content.Masthead
    wording: content.Wording
    checksum: str
    cautions_at_foot: bool = True

    @property
    def has_cautions_at_foot(self) -> bool:
        """Tell whether page one keeps room for the cautions above its foot."""
        tallest = self.body_height * _LARGEST_CAUTIONS
        return self.cautions_at_foot and caution_height(self) <= tallest

    @property
    def size(self) -> tuple[float, float]:
        """Return the paper's width and height in points."""
        return styles.PAGE_SIZES[self.masthead.paper]

    @property
    def width(self) -> float:
        """Return the width between the margins in points."""
        return styles.body_width(self.masthead.paper)

    @property
    def foot_height(self) -> float:
        """Return the room the running foot takes from the paper's lower edge."""
        deferral = paragraph(self.masthead.deferral, style=styles.FOOT)
        return float(deferral.wrap(self.width, 1000)[1]) + 46.0

    @property
    def body_height(self) -> float:
        """Return the height for text on an ordinary page in points."""
        return self.size[1] - _TOP - self.foot_height - _FOOT_GAP


def templates(sheet: Sheet) -> list[PageTemplate]:
    """Return the templates ``first`` and ``later``.

    The cautions of page one stand in a box above its foot, unless the document
    begins with them itself.
    """
    box = caution_box(sheet)
    floor = sheet.foot_height + _FOOT_GAP
    at_foot = sheet.has_cautions_at_foot
    lifted = floor + (caution_height(sheet) + 10 if at_foot else 0.0)
    box.wrap(sheet.width, sheet.body_height)

    def on_first_page(canvas: Canvas, _: BaseDocTemplate) -> None:
        _draw_furniture(canvas, sheet, with_head=False)

    def at_its_end(canvas: Canvas, _: BaseDocTemplate) -> None:
        # Read after what stands above it, its title before all.
        if at_foot:
            box.drawOn(canvas, styles.MARGIN, floor)

    def on_later_page(canvas: Canvas, _: BaseDocTemplate) -> None:
        _draw_furniture(canvas, sheet, with_head=True)

    first = _frame(sheet, floor=lifted, top=_FIRST_TOP)
    return [
        PageTemplate(
            "first",
            [first],
            onPage=on_first_page,
            onPageEnd=at_its_end,
            autoNextPageTemplate="later",
        ),
        PageTemplate(
            "later", [_frame(sheet, floor=floor, top=_TOP)], onPage=on_later_page
        ),
    ]


def _frame(sheet: Sheet, *, floor: float, top: float) -> Frame:
    return Frame(
        styles.MARGIN,
        floor,
        sheet.width,
        sheet.size[1] - top - floor,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )


def caution_height(sheet: Sheet) -> float:
    """Return the height of the box of cautions in points."""
    return float(caution_box(sheet).wrap(sheet.width, sheet.body_height)[1])


def caution_box(sheet: Sheet, *, with_all: bool = False) -> Table:
    """Return the framed cautions: those of page one, or all of them."""
    lines = [[paragraph(sheet.wording.please_read, style=styles.BOLD), ""]]
    for caution in sheet.masthead.cautions:
        if with_all or caution.on_first_page:
            words = paragraph(caution.text, style=styles.CAUTION)
            lines.append([paragraph("•", style=styles.CAUTION), words])
    return blocks.grid(
        lines,
        [_BULLET, sheet.width - _BULLET],
        ("SPAN", (0, 0), (-1, 0)),
        ("BOX", (0, 0), (-1, -1), 0.9, palette.INK),
        ("BACKGROUND", (0, 0), (-1, -1), palette.TINT),
        ("LEFTPADDING", (0, 0), (0, -1), 9),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 9),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
        ("TOPPADDING", (0, 0), (-1, 0), 6),
        ("BOTTOMPADDING", (0, -1), (-1, -1), 7),
        kind=tables.List,
    )


def _draw_furniture(canvas: Canvas, sheet: Sheet, *, with_head: bool) -> None:
    """Draw what stands on every page; in the file's structure it is decoration."""
    deferral = paragraph(
        [Run(text=sheet.masthead.deferral, bold=True)], style=styles.FOOT
    )
    height = deferral.wrap(sheet.width, 200)[1]
    with tagging.marked(canvas, "", kind=tagging.FRAME):
        deferral.drawOn(canvas, styles.MARGIN, 40)
        _rule(canvas, sheet, 40 + height + 4)
        if with_head:
            _draw_head(canvas, sheet)
        _draw_foot(canvas, sheet)


def _draw_head(canvas: Canvas, sheet: Sheet) -> None:
    masthead = sheet.masthead
    y = sheet.size[1] - 32
    canvas.setFillColor(palette.SOFT_INK)
    canvas.setFont(lettering.REGULAR, _SMALL)
    left = f"{masthead.kind} · {masthead.place.name}"
    right = lettering.shortened(masthead.period, size=_SMALL, room=sheet.width * 0.4)
    room = sheet.width - lettering.width(right, size=_SMALL) - 16
    shown = lettering.shortened(left, size=_SMALL, room=room)
    canvas.drawString(styles.MARGIN, y, shown)
    canvas.drawRightString(styles.MARGIN + sheet.width, y, right)
    _rule(canvas, sheet, y - 5)


def _draw_foot(canvas: Canvas, sheet: Sheet) -> None:
    masthead, wording = sheet.masthead, sheet.wording
    canvas.setFillColor(palette.SOFT_INK)
    canvas.setFont(lettering.REGULAR, _SMALL)
    number = " · ".join(
        (
            masthead.number,
            wording.revision.format(revision=masthead.revision),
            *(
                (wording.supersedes.format(number=masthead.supersedes),)
                if masthead.supersedes
                else ()
            ),
        )
    )
    # The number itself stands in full on page one and in the file's properties.
    shown = lettering.shortened(number, size=_SMALL, room=sheet.width * 0.75)
    canvas.drawString(styles.MARGIN, 30, shown)
    _draw_page_number(canvas, sheet)
    canvas.setFont(lettering.REGULAR, _SMALL)
    words = wording.content_checksum.format(checksum=sheet.checksum)
    canvas.drawString(styles.MARGIN, 20, words)


def _draw_page_number(canvas: Canvas, sheet: Sheet) -> None:
    """Write the page number; the total is a form that is filled at the end."""
    before, after = sheet.wording.page_of.split("{total}")
    before = before.format(page=canvas.getPageNumber())
    size, total_room = _SMALL, lettering.width("000", size=_SMALL)
    x = styles.MARGIN + sheet.width - total_room
    x -= lettering.width(after, size=size)
    canvas.drawRightString(x, 30, before)
    canvas.saveState()
    canvas.translate(x, 30)
    canvas.doForm(_TOTAL_PAGES)
    canvas.restoreState()
    if after.strip():
        canvas.drawRightString(styles.MARGIN + sheet.width, 30, after)


def _rule(canvas: Canvas, sheet: Sheet, y: float) -> None:
    canvas.setStrokeColor(palette.RULE)
    canvas.setLineWidth(0.5)
    canvas.line(styles.MARGIN, y, styles.MARGIN + sheet.width, y)


class NumberedDocument(BaseDocTemplate):  # type: ignore[misc]
    """A document that fills in the total number of pages at its end."""

    def _endBuild(self) -> None:  # noqa: N802, the library's name
        canvas: Any = self.canv
        # The last page is still open unless the next one was about to begin.
        begun = bool(self._hanging) and self._hanging[-1] is PageBegin
        total = canvas.getPageNumber() - int(begun)
        canvas.beginForm(_TOTAL_PAGES, 0, -3, 30, 10)
        canvas.setFillColor(palette.SOFT_INK)
        canvas.setFont(lettering.REGULAR, _SMALL)
        canvas.drawString(0, 0, str(total))
        canvas.endForm()
        super()._endBuild()
