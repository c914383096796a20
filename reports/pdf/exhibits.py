"""The figures of a machine with titles, captions and text alternatives."""

from reportlab.graphics.shapes import Drawing
from reportlab.platypus import Flowable

from reports import content
from reports.figures import groove_section, rim_section, tension_bars, wear_curve
from reports.pdf import blocks, flow
from reports.pdf.page import Sheet

_TENSION_SHARE = 0.72


def groove(section: content.GrooveSection, sheet: Sheet, *, width: float) -> flow.Stack:
    """Return a groove section."""
    drawing = groove_section.groove_section(
        section=section, wording=sheet.wording, width=width
    )
    return _exhibit(drawing, section, section.caption, sheet, width=width)


def curves(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the wear curves, the first under the section's heading."""
    drawn: list[Flowable] = []
    for curve in machine.wear_curves:
        drawing = wear_curve.wear_curve(
            curve=curve, wording=sheet.wording, width=sheet.width
        )
        caption = "  ".join(filter(None, (curve.outlook, curve.caption)))
        block = _exhibit(drawing, curve, caption, sheet, width=sheet.width)
        if drawn:
            spaced = [blocks.gap(10), block]
            drawn.append(flow.Stack(spaced, page_height=sheet.body_height))
        else:
            heading = sheet.wording.wear_curves
            drawn.append(blocks.section(heading, block, width=sheet.width))
    return drawn


def rim(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the rim section; nothing where the rim was not surveyed."""
    record = machine.rim
    if record is None:
        return []
    drawing = rim_section.rim_section(
        rim=record, wording=sheet.wording, width=sheet.width
    )
    caption = "  ".join(filter(None, (record.limit_label, record.caption)))
    block = _exhibit(drawing, record, caption, sheet, width=sheet.width)
    return [blocks.section(sheet.wording.rim, block, width=sheet.width)]


def tensions(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the tension bars; nothing where no tension was read."""
    record = machine.tensions
    if record is None:
        return []
    drawing = tension_bars.tension_bars(
        tensions=record, wording=sheet.wording, width=sheet.width * _TENSION_SHARE
    )
    block = _exhibit(drawing, record, record.caption, sheet, width=sheet.width)
    return [blocks.section(sheet.wording.tensions, block, width=sheet.width)]


def _exhibit(
    drawing: Drawing,
    record: content.GrooveSection
    | content.WearCurve
    | content.RimSection
    | content.TensionBars,
    caption: str,
    sheet: Sheet,
    *,
    width: float,
) -> flow.Stack:
    return blocks.captioned(
        drawing,
        title=record.title,
        caption=caption,
        description=record.description,
        width=width,
        page_height=sheet.body_height,
    )
