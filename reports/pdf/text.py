"""The one door through which a text becomes a paragraph.

Whatever a person typed is printed literally: it is checked against the fonts,
escaped, and never read as markup. Nothing else in this package may build a
paragraph; a test looks for it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from reports.figures import lettering
from reports.pdf import tagging

# What stands above what, by the name of a heading's style.
_RANKS = {"title": 0, "chapter": 1, "machine": 2, "stopped": 3, "section": 3}
_RANKS["subhead"] = 4


class TaggedParagraph(Paragraph):  # type: ignore[misc]
    """A paragraph that stands in the document's structure."""

    _broken: tuple[float, tuple[float, float]] | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        """Return the size; lines are broken once for a width, not at each asking."""
        # The library throws the lines away when it cannot split a paragraph.
        if self._broken is None or self._broken[0] != width or not self._has_lines:
            self._broken = width, super().wrap(width, height)
        return self._broken[1]

    @property
    def _has_lines(self) -> bool:
        return hasattr(self, "blPara")

    def draw(self) -> None:
        """Draw the lines as one element of the role of their style."""
        with tagging.marked(self.canv, _role(self.canv, self.style.name)):
            super().draw()


def _role(canvas: Any, style: str) -> str:
    """Return what a paragraph is to a reader who hears it."""
    is_heading = style in _RANKS and isinstance(canvas, tagging.TaggedCanvas)
    return canvas.heading(_RANKS[style]) if is_heading else "P"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A piece of a paragraph in one face; ``link`` is a bookmark of this document."""

    text: str
    bold: bool = False
    oblique: bool = False
    link: str = ""


def paragraph(
    text: str | Sequence[Run], *, style: ParagraphStyle, field: str = "text"
) -> Paragraph:
    """Return a paragraph that prints the text as it is.

    A line break in the text breaks the line. Raises UnprintableText.
    """
    runs = [Run(text=text)] if isinstance(text, str) else text
    return TaggedParagraph("".join(_markup(run, field) for run in runs), style)


def _markup(run: Run, field: str) -> str:
    printed = escape(lettering.printable(run.text, field=field))
    printed = printed.replace("\n", "<br/>")
    if run.bold:
        printed = f"<b>{printed}</b>"
    if run.oblique:
        printed = f"<i>{printed}</i>"
    if run.link:
        printed = _linked(run, printed)
    return printed


def _linked(run: Run, printed: str) -> str:
    key = _bookmark(run.link)
    told = quoteattr(f"{key} {' '.join(run.text.split())}")
    return (
        f'<onDraw name="{tagging.LINK_BEGINS}" label={told}/>'
        f'<a href="#{key}">{printed}</a>'
        f'<onDraw name="{tagging.LINK_ENDS}"/>'
    )


def _bookmark(key: str) -> str:
    """Return a bookmark's key; no address can be one. Raises ValueError."""
    if not key.replace("-", "").isalnum():
        raise ValueError(f"{key!r} is no bookmark; it must be letters, digits, dashes")
    return key
