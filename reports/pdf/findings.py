"""Findings: the grade, three numbers, plain words, then what stands behind them."""

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_MARK_ROOM = 84.0
_NOTHING = "–"


def in_order_of_urgency(
    findings: tuple[content.PrintedFinding, ...],
) -> list[content.PrintedFinding]:
    """Return the findings, the most urgent first, otherwise as they came."""
    return sorted(
        findings, key=lambda finding: content.MOST_URGENT_FIRST.index(finding.grade)
    )


def finding(
    record: content.PrintedFinding, sheet: Sheet, *, is_first: bool = False
) -> Flowable:
    """Return one finding as a block that stays on one page."""
    wording = sheet.wording
    mark = blocks.mark(record.grade, wording)
    left = _beside(mark)
    room = sheet.width - left
    title = [Run(text=record.what, bold=True)]
    if record.where:
        title.append(Run(text=f"  ·  {record.where}"))
    head = blocks.grid(
        [[mark, paragraph(title, style=styles.BODY)]],
        [left, room],
        *(() if is_first else (("LINEABOVE", (0, 0), (-1, 0), 0.5, palette.RULE),)),
        ("TOPPADDING", (0, 0), (-1, -1), 0 if is_first else 6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    )
    numbers = _indented(_numbers(record, wording, room), left, room)
    parts: list[Flowable] = [head, numbers]
    if record.contradicted:
        parts.append(_indented(_caution(record.contradicted, room), left, room))
    if record.meaning:
        parts.append(
            _indented(paragraph(record.meaning, style=styles.BODY), left, room)
        )
    for caution in record.cautions:
        parts.append(_indented(_caution(caution, room), left, room))
    parts += [_indented(_behind(record, wording), left, room), blocks.gap(4)]
    return flow.Stack(parts, page_height=sheet.body_height)


def brief(record: content.PrintedFinding, sheet: Sheet, *, width: float) -> Flowable:
    """Return a finding in short: grade, what and where, value beside limit, cautions.

    What could hurt somebody is said here too, not only where the numbers stand.
    """
    wording = sheet.wording
    mark = blocks.mark(record.grade, wording)
    left = _beside(mark)
    room = width - left
    title = [Run(text=record.what, bold=True)]
    if record.where:
        title.append(Run(text=f"  ·  {record.where}"))
    head = blocks.grid(
        [[mark, paragraph(title, style=styles.BODY)]],
        [left, room],
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
    )
    numbers = record.value or _NOTHING
    if record.limit not in ("", _NOTHING):
        numbers = wording.read_against.format(value=numbers, limit=record.limit)
    told = [record.contradicted] if record.contradicted else []
    parts: list[Flowable] = [
        head,
        _indented(paragraph(numbers, style=styles.CELL), left, room),
        *(_indented(_caution(text, room), left, room) for text in told),
        *(_indented(_caution(text, room), left, room) for text in record.cautions),
    ]
    return flow.Stack(parts, page_height=sheet.body_height)


def _beside(mark: flow.Figure) -> float:
    """Return the width of a column that holds a mark, with room to what follows."""
    return max(_MARK_ROOM, float(mark.width) + 8.0)


def _indented(block: Flowable, left: float, room: float) -> Flowable:
    return blocks.grid(
        [["", block]], [left, room], ("BOTTOMPADDING", (0, 0), (-1, -1), 3)
    )


def _numbers(
    record: content.PrintedFinding, wording: content.Wording, room: float
) -> Flowable:
    labels = (wording.value, wording.limit, wording.margin)
    values = [text or _NOTHING for text in (record.value, record.limit, record.margin)]
    return blocks.grid(
        [
            [paragraph(label, style=styles.LABEL) for label in labels],
            [paragraph(value, style=_figure_style(value)) for value in values],
        ],
        [room * 0.38, room * 0.34, room * 0.28],
        ("RIGHTPADDING", (0, 0), (-2, -1), 10),
    )


def _figure_style(value: str) -> ParagraphStyle:
    return styles.FIGURE if len(value) <= 40 else styles.BOLD


def _caution(text: str, room: float) -> Flowable:
    return blocks.grid(
        [[paragraph(text, style=styles.CAUTION)]],
        [room],
        ("BOX", (0, 0), (-1, -1), 0.7, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 6),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
    )


def _behind(record: content.PrintedFinding, wording: content.Wording) -> Flowable:
    # A source that says itself how sure it is needs no second word.
    sure = "" if record.how_sure in record.source else record.how_sure
    pieces = (
        (wording.criterion, record.criterion),
        (wording.source, record.source),
        (wording.how_sure, sure),
        (wording.readings, ", ".join(record.readings)),
    )
    runs = []
    for label, text in pieces:
        if text:
            # No break between a label and its first word.
            runs += [Run(text=f"{label}\u00a0", bold=True), Run(text=f"{text}   ")]
    return paragraph(runs, style=styles.NOTE)
