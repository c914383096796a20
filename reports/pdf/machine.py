"""One machine: what it is, what was found, what it looks like, what to do."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, exhibits, findings, flow, options, styles
from reports.pdf.page import Sheet
from reports.pdf.text import paragraph

_GUTTER = 22.0
_ROWS_SHARE = 0.42
_TALLEST_BESIDE = 330.0


def pages(machine: content.MachinePages, sheet: Sheet, *, key: str) -> list[Flowable]:
    """Return everything about one machine, in the order of reading."""
    return [
        _head(machine, sheet, key=key),
        *_what_it_is(machine, sheet),
        *_findings(machine, sheet),
        *exhibits.curves(machine, sheet),
        *exhibits.rim(machine, sheet),
        *exhibits.tensions(machine, sheet),
        *_rope_set(machine, sheet),
        *options.options(machine, sheet),
        *_not_assessed(machine, sheet),
    ]


def _head(machine: content.MachinePages, sheet: Sheet, *, key: str) -> Flowable:
    mark = blocks.mark(machine.grade, sheet.wording)
    room = sheet.width - mark.width - 24
    title = f"{machine.code}  {machine.name}"
    words = [paragraph(title, style=styles.MACHINE)]
    if machine.place:
        words.append(paragraph(machine.place, style=styles.NOTE))
    band = blocks.grid(
        [[words, mark]],
        [room, sheet.width - room],
        ("BACKGROUND", (0, 0), (-1, -1), palette.TINT),
        ("LINEABOVE", (0, 0), (-1, 0), 1.2, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 8),
        ("RIGHTPADDING", (0, 0), (-1, -1), 8),
        ("TOPPADDING", (0, 0), (-1, -1), 6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
    )
    return flow.Anchor(band, key=key, title=title, level=1, gap=8)


def _what_it_is(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the facts with the first groove beside them, then further grooves."""
    wording, width = sheet.wording, sheet.width
    drawn: list[Flowable] = [paragraph(machine.summary, style=styles.LEAD)]
    grooves = machine.groove_sections
    beside = _facts_beside_groove(machine, sheet)
    if beside is not None:
        grooves = grooves[1:]
        drawn.append(blocks.section(wording.what_it_is, beside, width=width))
    elif machine.description:
        facts = blocks.rows(machine.description, width=width, label_share=0.3)
        drawn.append(blocks.section(wording.what_it_is, facts, width=width))
    if grooves:
        first, *others = _in_pairs(grooves, sheet)
        drawn.append(blocks.section(wording.groove_sections, first, width=width))
        drawn += others
    return drawn


def _facts_beside_groove(
    machine: content.MachinePages, sheet: Sheet
) -> Flowable | None:
    """Return facts and first groove side by side, if both are short enough."""
    if not machine.groove_sections:
        return None
    room = sheet.width - _GUTTER
    left, right = room * _ROWS_SHARE, room * (1 - _ROWS_SHARE)
    facts = blocks.rows(machine.description, width=left)
    groove = exhibits.groove(machine.groove_sections[0], sheet, width=right)
    if not _are_short((facts, left), (groove, right)):
        return None
    return _together([[facts, "", groove]], [left, _GUTTER, right], sheet)


def _in_pairs(grooves: Sequence[content.GrooveSection], sheet: Sheet) -> list[Flowable]:
    """Return the grooves two by two; one by one where captions are long."""
    half = (sheet.width - _GUTTER) / 2
    figures = [exhibits.groove(section, sheet, width=half) for section in grooves]
    if not _are_short(*((figure, half) for figure in figures)):
        return [exhibits.groove(section, sheet, width=half) for section in grooves]
    padded: list[Flowable | str] = [*figures, *[""] * (len(figures) % 2)]
    return [
        _together([[one, "", other], [blocks.gap(10)]], [half, _GUTTER, half], sheet)
        for one, other in zip(padded[::2], padded[1::2], strict=True)
    ]


def _are_short(*blocks_: tuple[Flowable, float]) -> bool:
    """Tell whether blocks may stand in one row, which must never be torn."""
    return all(block.wrap(wide, 1e4)[1] <= _TALLEST_BESIDE for block, wide in blocks_)


def _together(
    rows: Sequence[Sequence[Flowable | str]], widths: Sequence[float], sheet: Sheet
) -> Flowable:
    filled = [[*row, *[""] * (len(widths) - len(row))] for row in rows]
    return flow.Stack([blocks.grid(filled, widths)], page_height=sheet.body_height)


def _findings(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    wording = sheet.wording
    if not machine.findings:
        none = paragraph(wording.no_findings, style=styles.BODY)
        return [blocks.section(wording.findings, none, width=sheet.width)]
    ordered = findings.in_order_of_urgency(machine.findings)
    drawn = [
        findings.finding(record, sheet, is_first=index == 0)
        for index, record in enumerate(ordered)
    ]
    return [blocks.section(wording.findings, drawn[0], width=sheet.width), *drawn[1:]]


def _rope_set(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    if machine.rope_table is None:
        return []
    return blocks.titled_table(
        machine.rope_table,
        width=sheet.width,
        wording=sheet.wording,
        page_height=sheet.body_height,
    )


def _not_assessed(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    if not machine.not_assessed:
        return []
    wording = sheet.wording
    table = content.Table(
        title=wording.not_assessed,
        columns=(
            content.Column(heading=wording.matter, share=1.2),
            content.Column(heading=wording.reason, share=1.8),
            content.Column(heading=wording.remedy, share=1.6),
        ),
        rows=tuple((gap.what, gap.reason, gap.remedy) for gap in machine.not_assessed),
    )
    return blocks.titled_table(
        table, width=sheet.width, wording=wording, page_height=sheet.body_height
    )
