"""Building blocks of every document: headings, tables, rows, figures."""

from collections.abc import Mapping, Sequence
from typing import Any

from reportlab.graphics.shapes import Drawing
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer, Table

from reports import content
from reports.content import Align
from reports.figures import grade_mark, lettering, palette
from reports.pdf import flow, styles, tables
from reports.pdf.text import Run, paragraph

_TALLEST_HEAD = 120.0
# Air between a column and the next; more behind one that is set to the right.
_BESIDE_TEXT, _BESIDE_NUMBERS = 7.0, 18.0

# Above and below a text in a table; less where an annex has many of them.
AIR, CLOSE = 2.6, 1.1

Commands = list[tuple[Any, ...]]

# Set on all cells of every table: the library's own default is a font that
# would not be embedded.
_PLAIN: Commands = [
    ("FONTNAME", (0, 0), (-1, -1), lettering.REGULAR),
    ("FONTSIZE", (0, 0), (-1, -1), 7.6),
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]


def gap(height: float) -> Spacer:
    """Return empty room of a height in points."""
    return Spacer(1, height)


def grid(
    rows: Sequence[Sequence[Any]],
    widths: Sequence[float],
    *commands: tuple[Any, ...],
    repeat_rows: int = 0,
    kind: type[tables.Plain] = tables.Plain,
) -> Table:
    """Return a table without any lines or padding but those asked for."""
    return kind(
        [list(row) for row in rows],
        colWidths=list(widths),
        style=[*_PLAIN, *commands],
        repeatRows=repeat_rows,
        splitInRow=1,
        hAlign="LEFT",
    )


def chapter(title: str, body: Flowable, *, key: str) -> flow.Headed:
    """Return the heading of a chapter over its first block."""
    heading = paragraph(title, style=styles.CHAPTER)
    return flow.Headed(flow.Anchor(heading, key=key, title=title, level=0, gap=4), body)


def under(heading: Flowable, body: Flowable) -> flow.Headed:
    """Return a block under a small heading that never ends a page alone."""
    return flow.Headed(heading, body)


def section(title: str, body: Flowable, *, width: float) -> flow.Headed:
    """Return a block under a section heading with a rule."""
    heading = grid(
        [[paragraph(title, style=styles.SECTION)]],
        [width],
        ("LINEBELOW", (0, 0), (-1, -1), 0.5, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 12),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    )
    padded = grid([[heading], [gap(6)]], [width])
    return flow.Headed(padded, body)


def rows(
    pairs: Sequence[content.Row],
    *,
    width: float,
    label_share: float = 0.38,
    air: float = 2.4,
) -> Table:
    """Return labels with their values beside them."""
    lines = [
        [
            paragraph(pair.label, style=styles.LABEL),
            paragraph(pair.value, style=styles.CELL),
        ]
        for pair in pairs
    ] or [["", ""]]
    return grid(
        lines,
        [width * label_share, width * (1 - label_share)],
        ("LINEBELOW", (0, 0), (-1, -1), 0.3, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), air),
        ("BOTTOMPADDING", (0, 0), (-1, -1), air),
        ("RIGHTPADDING", (0, 0), (0, -1), 6),
        kind=tables.Facts if pairs else tables.Plain,
    )


def table(
    table_: content.Table,
    *,
    width: float,
    links: Mapping[str, str] | None = None,
    air: float = AIR,
) -> Table:
    """Return a table of texts; its head is repeated on every page.

    A first cell whose text is in ``links`` leads to that bookmark. ``air`` stands
    above and below each text.
    """
    known = links or {}
    widths = _widths(table_.columns, width)
    head = [
        paragraph(column.heading, style=_styles(column)[0]) for column in table_.columns
    ]
    lines = [
        [
            paragraph(
                [Run(text=text, link=known.get(text, "") if place == 0 else "")],
                style=_styles(column)[1],
            )
            for place, (text, column) in enumerate(
                zip(row, table_.columns, strict=True)
            )
        ]
        for row in table_.rows
    ]
    return grid(
        [head, *lines],
        widths,
        ("LINEBELOW", (0, 0), (-1, 0), 0.8, palette.INK),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), air),
        ("BOTTOMPADDING", (0, 0), (-1, -1), air),
        ("RIGHTPADDING", (0, 0), (-2, -1), _BESIDE_TEXT),
        # A column set to the right needs more air before one set to the left.
        *(
            ("RIGHTPADDING", (index, 0), (index, -1), _BESIDE_NUMBERS)
            for index, column in enumerate(table_.columns[:-1])
            if column.align is Align.RIGHT
        ),
        repeat_rows=_repeated(head, widths),
        kind=tables.Data,
    )


def _widths(columns: Sequence[content.Column], width: float) -> list[float]:
    """Return widths by the columns' shares, none less than its heading's words need.

    What a column needs beyond its share is taken from those that have room; where none
    has, a word is broken.
    """
    total = sum(column.share for column in columns)
    wanted = [width * column.share / total for column in columns]
    needed = [_longest_word(column) for column in columns]
    lacking = sum(max(n - w, 0.0) for n, w in zip(needed, wanted, strict=True))
    spare = sum(max(w - n, 0.0) for n, w in zip(needed, wanted, strict=True))
    if not lacking or lacking > spare:
        return wanted
    given = lacking / spare
    return [
        n if w < n else w - given * (w - n) for n, w in zip(needed, wanted, strict=True)
    ]


def _longest_word(column: content.Column) -> float:
    """Return the width of a heading's longest word with the air beside it."""
    widths = (
        lettering.width(word, size=styles.HEAD.fontSize, face=lettering.BOLD)
        for word in column.heading.split()
    )
    beside = _BESIDE_NUMBERS if column.align is Align.RIGHT else _BESIDE_TEXT
    return max(widths, default=0.0) + beside + 0.5


def _repeated(head: Sequence[Flowable], widths: Sequence[float]) -> int:
    """Return 1 if a table's head is small enough to be repeated on every page."""
    heights = (
        heading.wrap(width, _TALLEST_HEAD)[1]
        for heading, width in zip(head, widths, strict=True)
    )
    return int(max(heights, default=0.0) <= _TALLEST_HEAD)


def _styles(column: content.Column) -> tuple[ParagraphStyle, ParagraphStyle]:
    if column.align is Align.RIGHT:
        return styles.HEAD_RIGHT, styles.CELL_RIGHT
    return styles.HEAD, styles.CELL


def titled_table(
    table_: content.Table,
    *,
    width: float,
    wording: content.Wording,
    links: Mapping[str, str] | None = None,
    page_height: float | None = None,
    air: float = AIR,
    is_one_of_many: bool = False,
) -> list[Flowable]:
    """Return a table under its title, with its note; says so if it is empty.

    Given the height of a page, a table that a page can hold is not torn. One of many
    has a smaller title.
    """
    body: Flowable = table(table_, width=width, links=links, air=air)
    if page_height is not None:
        body = flow.Stack([body], page_height=page_height)
    if not table_.rows:
        body = paragraph(wording.nothing_here, style=styles.BODY)
    blocks: list[Flowable] = [section(table_.title, body, width=width)]
    if is_one_of_many:
        title = grid([[paragraph(table_.title, style=styles.SUBHEAD)]], [width])
        blocks = [gap(7), under(title, body)]
    if table_.note:
        blocks += [gap(3), paragraph(table_.note, style=styles.NOTE)]
    return blocks


def mark(grade: content.PrintedGrade, wording: content.Wording) -> flow.Figure:
    """Return the mark of a grade as a drawing of its own size."""
    wide = grade_mark.mark_width(words=wording.of_grade(grade))
    drawing = Drawing(wide, grade_mark.HEIGHT)
    drawing.add(grade_mark.grade_mark(grade=grade, wording=wording))
    return flow.Figure(drawing)


def captioned(
    drawing: Drawing,
    *,
    title: str,
    caption: str,
    description: str,
    width: float,
    page_height: float,
) -> flow.Stack:
    """Return a figure under its title and above its caption, kept together.

    The description is what a reader hears who does not see the figure.
    """
    parts: list[Flowable] = []
    if title:
        parts += [paragraph(title, style=styles.SUBHEAD), gap(4)]
    parts.append(flow.Figure(drawing, description))
    if caption:
        note = grid([[paragraph(caption, style=styles.NOTE)]], [width])
        parts += [gap(3), note]
    return flow.Stack(parts, page_height=page_height)


def labelled(label: str, text: str, *, style: ParagraphStyle) -> Any:
    """Return a paragraph that begins with a bold label."""
    return paragraph([Run(text=f"{label}: ", bold=True), Run(text=text)], style=style)
