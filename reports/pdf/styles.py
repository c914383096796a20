"""Sizes, leading and colours of text; measures of the page."""

from typing import Any

from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle

from reports.content import PaperSize
from reports.figures import lettering, palette

MARGIN = 50.0
PAGE_SIZES: dict[PaperSize, tuple[float, float]] = {
    PaperSize.A4: A4,
    PaperSize.LETTER: LETTER,
}


def body_width(paper: PaperSize) -> float:
    """Return the width between the margins in points."""
    return PAGE_SIZES[paper][0] - 2 * MARGIN


def _style(name: str, size: float, leading: float, **more: Any) -> ParagraphStyle:
    settings: dict[str, Any] = {
        "fontName": lettering.REGULAR,
        "textColor": palette.INK,
        "splitLongWords": 1,
    }
    return ParagraphStyle(name, fontSize=size, leading=leading, **{**settings, **more})


KIND = _style("kind", 9, 12, textColor=palette.ACCENT, fontName=lettering.BOLD)
TITLE = _style("title", 20, 24, fontName=lettering.BOLD)
HEADLINE = _style("headline", 11.5, 16)
CHAPTER = _style("chapter", 15, 19, fontName=lettering.BOLD)
MACHINE = _style("machine", 13, 16, fontName=lettering.BOLD)
STOPPED = _style("stopped", 13, 17, fontName=lettering.BOLD, textColor=palette.PAPER)
SECTION = _style("section", 9.5, 12, fontName=lettering.BOLD, textColor=palette.ACCENT)
SUBHEAD = _style("subhead", 8.5, 11, fontName=lettering.BOLD)
LEAD = _style("lead", 9.5, 13.5)
BODY = _style("body", 8.5, 12)
BOLD = _style("bold", 8.5, 12, fontName=lettering.BOLD)
QUESTION = _style("question", 8.7, 11.8, fontName=lettering.BOLD)
ANSWER = _style("answer", 8.7, 11.8)
CELL = _style("cell", 8, 10.3)
CELL_RIGHT = _style("cell-right", 8, 10.3, alignment=TA_RIGHT)
HEAD = _style("head", 8, 9.8, fontName=lettering.BOLD, textColor=palette.SOFT_INK)
HEAD_RIGHT = _style(
    "head-right",
    8,
    9.8,
    parent=HEAD,
    alignment=TA_RIGHT,
    fontName=lettering.BOLD,
    textColor=palette.SOFT_INK,
)
LABEL = _style("label", 8, 10.3, textColor=palette.SOFT_INK)
FIGURE = _style("figure", 9.5, 12, fontName=lettering.BOLD)
NOTE = _style("note", 8, 10.4, textColor=palette.SOFT_INK)
CAUTION = _style("caution", 8.2, 11)
FOOT = _style("foot", 8, 9.6, textColor=palette.SOFT_INK)
