"""The return-to-service record: what was done, left, tested, and accepted."""

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import appendix, blocks, flow, front, stops, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph


def story(record: content.ReturnToService, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole record."""
    wording, width = record.wording, sheet.width
    title = [
        Run(text=f"{record.machine_code}  ", bold=True),
        Run(text=record.machine_name),
    ]
    facts = blocks.rows(record.description, width=width, label_share=0.3)
    drawn: list[Flowable] = [
        *front.masthead(sheet),
        *stops.out_of_service(record.out_of_service, sheet),
        paragraph(title, style=styles.MACHINE),
        blocks.gap(6),
        front.headline(record.summary, width=width),
        blocks.section(wording.what_it_is, facts, width=width),
    ]
    asked = (record.required,) if record.required is not None else ()
    for table in (record.work_done, *asked, record.as_left, record.tests_made):
        drawn += blocks.titled_table(table, width=width, wording=wording)
    if record.rope_tag:
        tag = _tag(record, width * 0.6, sheet)
        drawn.append(blocks.section(wording.rope_tag, tag, width=width))
    if record.not_ready:
        drawn += [blocks.gap(10), paragraph(record.not_ready, style=styles.FIGURE)]
    acceptance = signed(record.acceptance, sheet)
    drawn.append(blocks.section(wording.acceptance, acceptance, width=width))
    return [*drawn, blocks.gap(12), *appendix.cautions(sheet)]


def _tag(record: content.ReturnToService, width: float, sheet: Sheet) -> Flowable:
    """Return what the tag at the ropes says, in a box that stays whole."""
    facts = blocks.rows(record.rope_tag, width=width - 16, label_share=0.45)
    box = blocks.grid(
        [[facts]],
        [width],
        ("BOX", (0, 0), (-1, -1), 1.2, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 8),
        ("RIGHTPADDING", (0, 0), (-1, -1), 8),
        ("TOPPADDING", (0, 0), (-1, -1), 6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
    )
    return flow.Stack([box], page_height=sheet.body_height)


def signed(acceptance: content.Acceptance, sheet: Sheet) -> Flowable:
    """Return a statement and its lines in a box; an empty line is there to sign on."""
    lines = [
        [
            paragraph(line.label, style=styles.LABEL),
            paragraph(line.value, style=styles.BOLD),
        ]
        for line in acceptance.lines
    ]
    inner = sheet.width - 20
    inside: list[Flowable] = [paragraph(acceptance.statement, style=styles.BODY)]
    if lines:
        fields = blocks.grid(
            lines,
            [inner * 0.32, inner * 0.68],
            ("LINEBELOW", (1, 0), (1, -1), 0.6, palette.INK),
            ("TOPPADDING", (0, 0), (-1, -1), 12),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
        )
        inside.append(fields)
    box = blocks.grid(
        [[inside]],
        [sheet.width],
        ("BOX", (0, 0), (-1, -1), 1.2, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 10),
        ("RIGHTPADDING", (0, 0), (-1, -1), 10),
        ("TOPPADDING", (0, 0), (-1, -1), 8),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 12),
    )
    return flow.Stack([box], page_height=sheet.body_height)
