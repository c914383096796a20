"""One machine: what it is, what was found, what it looks like, what to do."""

from reportlab.graphics.shapes import Drawing
from reportlab.platypus import Flowable

from reports import content
from reports.figures import (
    groove_section,
    palette,
    rim_section,
    tension_bars,
    wear_curve,
)
from reports.pdf import blocks, findings, flow, options, styles
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
        *_curves(machine, sheet),
        *_rim_and_tensions(machine, sheet),
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
    room = sheet.width - _GUTTER
    left, right = room * _ROWS_SHARE, room * (1 - _ROWS_SHARE)
    figures = [
        _section_figure(section, sheet, right) for section in machine.groove_sections
    ]
    narrow = blocks.rows(machine.description, width=left)
    if figures and narrow.wrap(left, sheet.body_height)[1] <= _TALLEST_BESIDE:
        body: Flowable = blocks.grid(
            [[narrow, "", figures.pop(0)]], [left, _GUTTER, right]
        )
    else:
        body = blocks.rows(machine.description, width=sheet.width, label_share=0.3)
    wording, width = sheet.wording, sheet.width
    drawn: list[Flowable] = [paragraph(machine.summary, style=styles.LEAD)]
    drawn.append(blocks.section(wording.what_it_is, body, width=width))
    if figures:
        heading = wording.groove_sections
        drawn.append(blocks.section(heading, figures[0], width=width))
        drawn += figures[1:]
    return drawn


def _section_figure(
    section: content.GrooveSection, sheet: Sheet, width: float
) -> Flowable:
    drawing = groove_section.groove_section(
        section=section, wording=sheet.wording, width=width
    )
    return blocks.captioned(
        section.title,
        drawing,
        section.caption,
        width=width,
        page_height=sheet.body_height,
    )


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


def _curves(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    drawn: list[Flowable] = []
    for curve in machine.wear_curves:
        figure = wear_curve.wear_curve(
            curve=curve, wording=sheet.wording, width=sheet.width
        )
        words = "  ".join(text for text in (curve.outlook, curve.caption) if text)
        block = blocks.captioned(
            curve.title,
            figure,
            words,
            width=sheet.width,
            page_height=sheet.body_height,
        )
        drawn.append(
            block
            if not drawn
            else flow.Stack([blocks.gap(10), block], page_height=sheet.body_height)
        )
    if drawn:
        heading = sheet.wording.wear_curves
        drawn[0] = blocks.section(heading, drawn[0], width=sheet.width)
    return drawn


def _rim_and_tensions(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    drawn: list[Flowable] = []
    wording, page_height = sheet.wording, sheet.body_height
    if machine.rim is not None:
        figure: Drawing = rim_section.rim_section(
            rim=machine.rim, wording=wording, width=sheet.width
        )
        words = "  ".join(
            text for text in (machine.rim.limit_label, machine.rim.caption) if text
        )
        block = blocks.captioned(
            machine.rim.title, figure, words, width=sheet.width, page_height=page_height
        )
        drawn.append(blocks.section(wording.rim, block, width=sheet.width))
    if machine.tensions is not None:
        figure = tension_bars.tension_bars(
            tensions=machine.tensions, wording=wording, width=sheet.width * 0.72
        )
        block = blocks.captioned(
            machine.tensions.title,
            figure,
            machine.tensions.caption,
            width=sheet.width,
            page_height=page_height,
        )
        drawn.append(blocks.section(wording.tensions, block, width=sheet.width))
    return drawn


def _rope_set(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    if machine.rope_table is None:
        return []
    return blocks.titled_table(
        machine.rope_table, width=sheet.width, wording=sheet.wording
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
    return blocks.titled_table(table, width=sheet.width, wording=wording)
