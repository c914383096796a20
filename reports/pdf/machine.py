"""One machine in the annex: every finding, figure and option, and what is open."""

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import (
    blocks,
    exhibits,
    findings,
    flow,
    options,
    styles,
    worked_sheet,
)
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_GUTTER = 22.0
_CURVE = 150.0


def details(
    machine: content.MachinePages, sheet: Sheet, *, key: str, overview_key: str
) -> list[Flowable]:
    """Return everything that stands behind a machine's overview, no figure twice."""
    return [
        head(machine, sheet, key=key, back_to=overview_key),
        *_register(machine, sheet),
        *_findings(machine, sheet),
        *exhibits.curves(machine, sheet, which=slice(1, None), height=_CURVE),
        *_grooves(machine, sheet),
        *exhibits.rim(machine, sheet),
        *exhibits.tensions(machine, sheet),
        *exhibits.photos(machine, sheet),
        *_rope_set(machine, sheet),
        *worked_sheet.traction(machine, sheet),
        *options.options(machine, sheet),
        *_not_assessed(machine, sheet),
    ]


def head(
    machine: content.MachinePages,
    sheet: Sheet,
    *,
    key: str,
    back_to: str = "",
    further: Run | None = None,
) -> Flowable:
    """Return a machine's band with its grade; in the annex its name leads back.

    ``further`` says where more of it stands.
    """
    mark = blocks.mark(machine.grade, sheet.wording)
    room = sheet.width - mark.width - 24
    title = f"{machine.code}  {machine.name}"
    words = [paragraph([Run(text=title, link=back_to)], style=styles.MACHINE)]
    if machine.place:
        words.append(paragraph(machine.place, style=styles.NOTE))
    if further is not None:
        words.append(paragraph([further], style=styles.NOTE))
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


def _register(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return what the machine is, what is assumed marked as such."""
    if not machine.description:
        return []
    # Two pairs in a row: most of them are short.
    half = (len(machine.description) + 1) // 2
    columns = (machine.description[:half], machine.description[half:])
    room = (sheet.width - _GUTTER) / 2
    sides = [blocks.rows(rows, width=room, label_share=0.34) for rows in columns]
    beside = blocks.grid(
        [[sides[0], "", sides[1] if columns[1] else ""]], [room, _GUTTER, room]
    )
    heading = sheet.wording.what_it_is
    if not exhibits.are_short((beside, sheet.width)):
        beside = blocks.rows(machine.description, width=sheet.width, label_share=0.3)
    return [blocks.section(heading, beside, width=sheet.width)]


def _grooves(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the grooves that the overview does not show."""
    others = machine.groove_sections[1:]
    if not others:
        return []
    heading = sheet.wording.groove_sections
    first, *rest = exhibits.in_pairs(others, sheet)
    return [blocks.section(heading, first, width=sheet.width), *rest]


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
        air=blocks.CLOSE,
        page_height=sheet.body_height,
    )


def _not_assessed(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    if not machine.not_assessed:
        return []
    wording = sheet.wording
    table = content.Table(
        title=wording.not_assessed,
        columns=(
            content.Column(heading=wording.matter, share=1.1),
            content.Column(heading=wording.reason, share=2.4),
            content.Column(heading=wording.remedy, share=1.3),
        ),
        rows=tuple((gap.what, gap.reason, gap.remedy) for gap in machine.not_assessed),
    )
    return blocks.titled_table(
        table, width=sheet.width, wording=wording, page_height=sheet.body_height
    )
