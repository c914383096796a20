"""The sheet of a regroove order: what to turn, what must stay, what to measure."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.figures import groove_section, template
from reports.pdf import appendix, blocks, flow, front, styles, tables
from reports.pdf.page import Sheet
from reports.pdf.service import signed
from reports.pdf.spoken import spoken
from reports.pdf.text import Run, paragraph

_FACTS_SHARE = 0.4
_GUTTER = 20.0


def story(order: content.RegrooveSheet, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole sheet."""
    wording, width = order.wording, sheet.width
    title = [
        Run(text=f"{order.machine_code}  ", bold=True),
        Run(text=order.machine_name),
    ]
    drawn: list[Flowable] = [
        *front.masthead(sheet),
        paragraph(title, style=styles.MACHINE),
        blocks.gap(6),
        front.headline(order.headline, width=width),
        *listed(wording.not_placed, order.because, sheet),
        *listed(wording.not_known, order.not_known, sheet),
        *_facts(order, sheet),
    ]
    for table in (order.cut, order.grooves):
        drawn += blocks.titled_table(table, width=width, wording=wording)
    drawn += _template(order, sheet)
    for table in (order.before_turning, order.after_turning):
        drawn += blocks.titled_table(table, width=width, wording=wording)
    drawn.append(blocks.section(wording.sign, signed(order.sign, sheet), width=width))
    for text in order.cautions:
        line = blocks.grid([[paragraph(text, style=styles.NOTE)]], [width])
        drawn += [blocks.gap(4), line]
    return [*drawn, blocks.gap(12), *appendix.cautions(sheet)]


def listed(title: str, texts: Sequence[str], sheet: Sheet) -> list[Flowable]:
    """Return sentences under a heading, one below the other; nothing for none."""
    lines = [
        blocks.grid(
            [[paragraph("–", style=styles.BODY), paragraph(text, style=styles.BODY)]],
            [12, sheet.width - 12],
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
            kind=tables.List,
        )
        for text in texts
    ]
    if not lines:
        return []
    return [blocks.section(title, lines[0], width=sheet.width), *lines[1:]]


def _facts(order: content.RegrooveSheet, sheet: Sheet) -> list[Flowable]:
    """Return what it is, with the groove beside it; the groove below where long."""
    wording, width = order.wording, sheet.width
    if order.section is None:
        facts = blocks.rows(order.description, width=width, label_share=0.3)
        return [blocks.section(wording.what_it_is, facts, width=width)]
    room = width - _GUTTER
    left, right = room * _FACTS_SHARE, room * (1 - _FACTS_SHARE)
    facts = blocks.rows(order.description, width=left)
    groove = _groove(order.section, order, sheet, width=right)
    if (
        max(facts.wrap(left, 1e4)[1], groove.wrap(right, 1e4)[1])
        > sheet.body_height / 2
    ):
        facts = blocks.rows(order.description, width=width, label_share=0.3)
        groove = _groove(order.section, order, sheet, width=width)
        return [
            blocks.section(wording.what_it_is, facts, width=width),
            blocks.section(wording.section_to_turn, groove, width=width),
        ]
    beside = blocks.grid([[facts, "", groove]], [left, _GUTTER, right])
    together = flow.Stack([beside], page_height=sheet.body_height)
    return [blocks.section(wording.section_to_turn, together, width=width)]


def _template(order: content.RegrooveSheet, sheet: Sheet) -> list[Flowable]:
    """Return the grooves at true size; nothing where their form is not known."""
    if order.template is None:
        return []
    figure = blocks.captioned(
        template.template(template=order.template),
        title="",
        caption=order.template.caption,
        description=spoken(order.template, order.wording),
        width=sheet.width,
        page_height=sheet.body_height,
    )
    return [blocks.section(order.template.title, figure, width=sheet.width)]


def _groove(
    section: content.GrooveSection,
    order: content.RegrooveSheet,
    sheet: Sheet,
    *,
    width: float,
) -> flow.Stack:
    drawing = groove_section.groove_section(
        section=section, wording=order.wording.to_turn(), width=width
    )
    return blocks.captioned(
        drawing,
        title=section.title,
        caption=section.caption,
        description=spoken(section, order.wording),
        width=width,
        page_height=sheet.body_height,
    )
