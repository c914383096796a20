"""What keeps a machine out of service: white on black, before all else."""

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph


def out_of_service(
    machines: tuple[content.OutOfService, ...], sheet: Sheet, *, more: str = ""
) -> list[Flowable]:
    """Return a block for each machine that must not run."""
    drawn: list[Flowable] = []
    for machine in machines:
        drawn += [_block(machine, sheet), blocks.gap(8)]
    if more:
        drawn += [paragraph(more, style=styles.NOTE), blocks.gap(8)]
    return drawn


def _block(machine: content.OutOfService, sheet: Sheet) -> Flowable:
    head = [
        Run(text=machine.heading, bold=True),
        Run(text=f"   {machine.machine}", bold=True),
    ]
    lines: list[list[object]] = [[paragraph(head, style=styles.STOPPED)]]
    for stop in machine.stops:
        facts = blocks.rows(stop.facts, width=sheet.width - 20, label_share=0.2)
        lines.append([[paragraph(stop.cause, style=styles.BOLD), facts]])
    return blocks.grid(
        lines,
        [sheet.width],
        ("BACKGROUND", (0, 0), (-1, 0), palette.INK),
        ("BOX", (0, 0), (-1, -1), 1.6, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 10),
        ("RIGHTPADDING", (0, 0), (-1, -1), 10),
        ("TOPPADDING", (0, 0), (-1, -1), 5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
    )
