"""What can be done about a machine, and what the contractor recommends."""

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph


def options(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the options and the recommendation; nothing where there are none."""
    drawn = [_option(option, sheet) for option in machine.options]
    if machine.recommendation:
        words = blocks.labelled(
            sheet.wording.recommendation, machine.recommendation, style=styles.BODY
        )
        drawn.append(blocks.grid([[words]], [sheet.width]))
    if drawn:
        heading = sheet.wording.options
        drawn[0] = blocks.section(heading, drawn[0], width=sheet.width)
    return drawn


def _option(option: content.Option, sheet: Sheet) -> Flowable:
    wording = sheet.wording
    name = [Run(text=option.name, bold=True)]
    if option.is_recommended:
        name.append(Run(text=f"  ◂ {wording.recommended}", oblique=True))
    pairs = (
        (wording.addresses, option.addresses),
        (wording.plan_before, option.plan_before),
        (wording.cost, option.cost),
        (wording.consequence, option.consequence),
        (wording.blocked, option.blocked),
    )
    lines = [
        [paragraph(label, style=styles.LABEL), paragraph(text, style=styles.CELL)]
        for label, text in pairs
        if text
    ] or [["", ""]]
    room = sheet.width * 0.68
    facts = blocks.grid(lines, [room * 0.28, room * 0.72])
    block = blocks.grid(
        [[paragraph(name, style=styles.BODY), facts]],
        [sheet.width - room, room],
        ("LINEABOVE", (0, 0), (-1, 0), 0.3, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ("RIGHTPADDING", (0, 0), (0, -1), 10),
    )
    return flow.Stack([block], page_height=sheet.body_height)
