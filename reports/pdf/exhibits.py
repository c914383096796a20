"""The figures of a machine with titles, captions and text alternatives."""

import base64
from collections.abc import Sequence

from reportlab.graphics.shapes import Drawing
from reportlab.platypus import Flowable

from reports import content
from reports.figures import groove_section, rim_section, tension_bars, wear_curve
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.spoken import spoken
from reports.pdf.text import paragraph

_TENSION_SHARE = 0.72
_CURVE = 196.0
_GUTTER = 22.0
_TALLEST_BESIDE = 330.0


def groove(section: content.GrooveSection, sheet: Sheet, *, width: float) -> flow.Stack:
    """Return a groove section."""
    drawing = groove_section.groove_section(
        section=section, wording=sheet.wording, width=width
    )
    return _exhibit(drawing, section, section.caption, sheet, width=width)


def in_pairs(grooves: Sequence[content.GrooveSection], sheet: Sheet) -> list[Flowable]:
    """Return the grooves two by two; one by one where captions are long."""
    half = (sheet.width - _GUTTER) / 2
    figures = [groove(section, sheet, width=half) for section in grooves]
    if not are_short(*((figure, half) for figure in figures)):
        return [groove(section, sheet, width=half) for section in grooves]
    padded: list[Flowable | str] = [*figures, *[""] * (len(figures) % 2)]
    return [
        together([[one, "", other], [blocks.gap(10)]], [half, _GUTTER, half], sheet)
        for one, other in zip(padded[::2], padded[1::2], strict=True)
    ]


def are_short(*blocks_: tuple[Flowable, float]) -> bool:
    """Tell whether blocks may stand in one row, which must never be torn."""
    return all(block.wrap(wide, 1e4)[1] <= _TALLEST_BESIDE for block, wide in blocks_)


def together(
    rows: Sequence[Sequence[Flowable | str]], widths: Sequence[float], sheet: Sheet
) -> Flowable:
    """Return rows of blocks that stay on one page."""
    filled = [[*row, *[""] * (len(widths) - len(row))] for row in rows]
    return flow.Stack([blocks.grid(filled, widths)], page_height=sheet.body_height)


def curves(
    machine: content.MachinePages,
    sheet: Sheet,
    *,
    which: slice = slice(None),
    height: float = _CURVE,
) -> list[Flowable]:
    """Return the wear curves, the first of them under the section's heading."""
    drawn: list[Flowable] = []
    for curve in machine.wear_curves[which]:
        drawing = wear_curve.wear_curve(
            curve=curve, wording=sheet.wording, width=sheet.width, height=height
        )
        caption = "  ".join(filter(None, (curve.outlook, curve.caption)))
        block = _exhibit(drawing, curve, caption, sheet, width=sheet.width)
        if drawn:
            spaced = [blocks.gap(10), block]
            drawn.append(flow.Stack(spaced, page_height=sheet.body_height))
        else:
            # A curve may stand on the page after its machine's name.
            heading = f"{sheet.wording.wear_curves}: {machine.code}"
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


def photos(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the photos two by two, each above its caption; nothing without any.

    That there are photos elsewhere is said too where none is shown.
    """
    if not machine.photos:
        return _note_alone(machine.photos_note, sheet)
    half = (sheet.width - _GUTTER) / 2
    pictures: list[Flowable | str] = [_photo(p, half, sheet) for p in machine.photos]
    pictures += [""] * (len(pictures) % 2)
    first, *rest = [
        together([[one, "", other], [blocks.gap(8)]], [half, _GUTTER, half], sheet)
        for one, other in zip(pictures[::2], pictures[1::2], strict=True)
    ]
    drawn = [blocks.section(sheet.wording.photos, first, width=sheet.width), *rest]
    if machine.photos_note:
        drawn.append(paragraph(machine.photos_note, style=styles.NOTE))
    return drawn


def _note_alone(note: str, sheet: Sheet) -> list[Flowable]:
    if not note:
        return []
    said = paragraph(note, style=styles.NOTE)
    return [blocks.section(sheet.wording.photos, said, width=sheet.width)]


def _photo(photo: content.Photo, room: float, sheet: Sheet) -> Flowable:
    ratio = photo.height_px / photo.width_px
    # An upright one is no taller than it is allowed to be wide.
    width = room if ratio <= 1.0 else room / ratio
    picture = flow.Picture(
        base64.b64decode(photo.jpeg),
        width=width,
        ratio=ratio,
        words=photo.description,
    )
    words = f"{photo.caption} ({photo.taken})"
    caption = blocks.grid([[paragraph(words, style=styles.NOTE)]], [room])
    return flow.Stack([picture, blocks.gap(3), caption], page_height=sheet.body_height)


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
        description=spoken(record, sheet.wording),
        width=width,
        page_height=sheet.body_height,
    )
