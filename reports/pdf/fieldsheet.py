"""The field sheet: cautions first, then what to measure, with boxes to write in."""

from collections.abc import Sequence

from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, flow, page, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_QR = 72.0
_BOXES_A_ROW = 6
_BOX_HEIGHT = 21.0
_ANY_HEIGHT = 1e4
_NUMBER_ROOM = 24.0
_GAUGE_LABEL, _GAUGE_BOX = 66.0, 78.0
# Letters of a fact that still fits into half the width.
_LONG = 60


def story(document: content.FieldSheet, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole sheet."""
    wording = document.wording
    drawn: list[Flowable] = [
        _head(document, sheet),
        blocks.gap(4),
        _known(document, sheet),
        blocks.gap(6),
        page.caution_box(sheet, with_all=True),
        blocks.gap(8),
        _fields(sheet),
        blocks.gap(3),
        _made(sheet),
    ]
    steps = [
        _step(number, step, document, sheet)
        for number, step in enumerate(document.steps, start=1)
    ]
    if steps:
        heading = f"{wording.to_measure}  ·  {wording.time_budget}: "
        heading += document.time_budget
        drawn.append(blocks.section(heading, steps[0], width=sheet.width))
        drawn += steps[1:]
    else:
        drawn.append(paragraph(wording.nothing_here, style=styles.BODY))
    return drawn


def _made(sheet: Sheet) -> Flowable:
    """Return in one line how the sheet was made."""
    facts = [f"{row.label}: {row.value}" for row in sheet.masthead.versions]
    address = sheet.masthead.address
    if address:
        facts.append(sheet.wording.page_of_document.format(address=address))
    words = "  ·  ".join(filter(None, (*facts, sheet.masthead.released)))
    return paragraph(words, style=styles.FOOT)


def _head(document: content.FieldSheet, sheet: Sheet) -> Flowable:
    """Return what and where in a few lines, with the QR code beside them."""
    head, room = sheet.masthead, sheet.width - _QR - 16
    title = f"{document.machine_code}  {document.machine_name}"
    anchor = flow.Anchor(
        paragraph(title, style=styles.CHAPTER),
        key="top",
        title=head.title,
        level=0,
        gap=3,
    )
    names = (head.title, head.place.name, *head.place.lines)
    line = "  ·  ".join((*names, head.owner.name, head.contractor.name))
    dated = f"{head.number}  ·  {head.period}  ·  {sheet.wording.issued} {head.issued}"
    left = [
        paragraph(head.kind, style=styles.KIND),
        anchor,
        paragraph(line, style=styles.CELL),
        paragraph(dated, style=styles.CELL),
    ]
    return blocks.grid([[left, "", _qr(document.qr_text)]], [room, 16, _QR])


def _known(document: content.FieldSheet, sheet: Sheet) -> Flowable:
    """Return what is known of the machine, short facts in two columns."""
    width = sheet.width
    long = [row for row in document.description if len(row.value) > _LONG]
    short = [row for row in document.description if len(row.value) <= _LONG]
    half, middle = (width - 16) / 2, -(-len(short) // 2)
    columns = [
        blocks.rows(part, width=half, label_share=0.34) if part else ""
        for part in (short[:middle], short[middle:])
    ]
    lines: list[list[object]] = [[blocks.rows(long, width=width, label_share=0.165)]]
    beside = blocks.grid([[columns[0], "", columns[1]]], [half, 16, half])
    return blocks.grid([*(lines if long else []), [beside]], [width])


def _qr(text: str) -> Flowable:
    """Return the QR code with the quiet margin the code itself brings."""
    code = QrCodeWidget(text, barWidth=_QR, barHeight=_QR, barLevel="M")
    drawing = Drawing(_QR, _QR)
    drawing.add(code)
    return flow.Figure(drawing, f"QR: {text}")


def _step(
    number: int, step: content.SheetStep, document: content.FieldSheet, sheet: Sheet
) -> Flowable:
    wording, room = document.wording, sheet.width - _NUMBER_ROOM
    title = [
        Run(text=step.what, bold=True),
        Run(text="  ·  ".join(("", *filter(None, (step.gauge, step.time))))),
    ]
    lines: list[list[object]] = [[_titled(title, step, wording, room)]]
    if step.how:
        lines.append([paragraph(step.how, style=styles.BODY)])
    facts = _facts(step, wording)
    if facts:
        lines.append([paragraph(facts, style=styles.CAUTION)])
    head = blocks.grid(lines, [room])
    first = blocks.grid(
        [[paragraph(f"{number}.", style=styles.QUESTION), head]],
        [_NUMBER_ROOM, room],
        ("LINEABOVE", (0, 0), (-1, 0), 0.3, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 3),
    )
    parts: list[Flowable] = [first]
    for start in range(0, len(step.boxes), _BOXES_A_ROW):
        row = step.boxes[start : start + _BOXES_A_ROW]
        boxes = _boxes(row, step, wording, room)
        parts.append(blocks.grid([["", boxes]], [_NUMBER_ROOM, room]))
    return flow.Stack([*parts, blocks.gap(2)], page_height=sheet.body_height)


def _titled(
    title: Sequence[Run],
    step: content.SheetStep,
    wording: content.Wording,
    room: float,
) -> Flowable:
    """Return a step's title, with a box for the gauge's number where one is read by."""
    words = paragraph(title, style=styles.ANSWER)
    if not step.unit:
        return words
    label = paragraph(wording.gauge_number, style=styles.LABEL)
    left = room - _GAUGE_LABEL - _GAUGE_BOX
    return blocks.grid(
        [[words, label, ""]],
        [left, _GAUGE_LABEL, _GAUGE_BOX],
        ("BOX", (2, 0), (2, 0), 0.8, palette.INK),
        ("RIGHTPADDING", (0, 0), (0, 0), 8),
        ("TOPPADDING", (1, 0), (1, 0), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    )


def _facts(step: content.SheetStep, wording: content.Wording) -> list[Run]:
    """Return in one line why it is due, its limit, and what would surprise."""
    runs: list[Run] = []
    for label, text in (
        (wording.due_because, step.why),
        (wording.limit, step.limit),
        ("", step.watch),
    ):
        if text:
            gap = "   " if runs else ""
            runs.append(Run(text=f"{gap}{label}: " if label else gap, bold=True))
            runs.append(Run(text=text, oblique=not label))
    return runs


def _boxes(
    boxes: Sequence[content.SheetBox],
    step: content.SheetStep,
    wording: content.Wording,
    room: float,
) -> Flowable:
    """Return a row of boxes: what goes in above, the unit inside, the last below."""
    width = room / _BOXES_A_ROW
    labels = [paragraph(box.label, style=styles.LABEL) for box in boxes]
    heights = [label.wrap(width - 8, _ANY_HEIGHT)[1] for label in labels]
    cells = []
    for box, label, height in zip(boxes, labels, heights, strict=True):
        last = f"{wording.last_value}: {box.last}" if box.last else ""
        inside = blocks.grid(
            [
                [label],
                [paragraph(step.unit or "\u00a0", style=styles.CELL_RIGHT)],
                [
                    paragraph(
                        "\n".join(filter(None, (last, box.watch))), style=styles.LABEL
                    )
                ],
            ],
            [width - 8],
            ("BOX", (0, 1), (0, 1), 0.8, palette.INK),
            # Boxes of a row stand in line, however long their labels are.
            ("TOPPADDING", (0, 0), (0, 0), 3 + max(heights) - height),
            ("TOPPADDING", (0, 1), (0, 1), _BOX_HEIGHT - 13),
            ("BOTTOMPADDING", (0, 1), (0, 1), 3),
            ("RIGHTPADDING", (0, 1), (0, 1), 4),
        )
        cells.append(inside)
    return blocks.grid([cells], [width] * len(cells))


def _fields(sheet: Sheet) -> Flowable:
    """Return the empty fields for who, when and remarks."""
    wording = sheet.wording
    labels = (wording.technician, wording.visited_on, wording.remarks)
    fields = blocks.grid(
        [[paragraph(label, style=styles.LABEL) for label in labels]],
        [sheet.width * share for share in (0.25, 0.2, 0.55)],
        ("BOX", (0, 0), (-1, -1), 0.8, palette.INK),
        ("INNERGRID", (0, 0), (-1, -1), 0.5, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 26),
    )
    return flow.Stack([fields], page_height=sheet.body_height)
