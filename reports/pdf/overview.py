"""One machine on the page an owner reads: what asks most, its groove, how it wears."""

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, exhibits, findings, machine, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_GUTTER = 22.0
_FINDINGS_SHARE = 0.56
_CURVE = 135.0
# More stands in the annex; page one names what has to be decided.
MOST_FINDINGS = 5


def page(
    record: content.MachinePages, sheet: Sheet, *, key: str, annex_key: str
) -> list[Flowable]:
    """Return the overview of one machine; what it is stands in the annex."""
    further = Run(text=sheet.wording.in_annex, link=annex_key)
    return [
        machine.head(record, sheet, key=key, further=further),
        paragraph(record.summary, style=styles.LEAD),
        *_what_asks(record, sheet),
        *exhibits.curves(record, sheet, which=slice(1), height=_CURVE),
    ]


def _what_asks(record: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the findings that ask most with the first groove beside them, or below."""
    wording, width = sheet.wording, sheet.width
    beside = _beside(record, sheet)
    if beside is not None:
        return [blocks.section(wording.findings, beside, width=width)]
    first, *others = _in_short(record, sheet, width=width)
    drawn: list[Flowable] = [
        blocks.section(wording.findings, first, width=width),
        *others,
    ]
    if record.groove_sections:
        groove = exhibits.groove(record.groove_sections[0], sheet, width=width / 2)
        drawn.append(blocks.section(wording.groove_sections, groove, width=width))
    return drawn


def _beside(record: content.MachinePages, sheet: Sheet) -> Flowable | None:
    """Return findings and first groove side by side, if both are short enough."""
    if not record.groove_sections:
        return None
    room = sheet.width - _GUTTER
    left, right = room * _FINDINGS_SHARE, room * (1 - _FINDINGS_SHARE)
    told = blocks.grid([[one] for one in _in_short(record, sheet, width=left)], [left])
    groove = exhibits.groove(record.groove_sections[0], sheet, width=right)
    if not exhibits.are_short((told, left), (groove, right)):
        return None
    return exhibits.together([[told, "", groove]], [left, _GUTTER, right], sheet)


def _in_short(
    record: content.MachinePages, sheet: Sheet, *, width: float
) -> list[Flowable]:
    """Return the findings that ask most: grade, what, where, value beside limit."""
    wording = sheet.wording
    if not record.findings:
        return [paragraph(wording.no_findings, style=styles.BODY)]
    ordered = findings.in_order_of_urgency(record.findings)
    drawn = [findings.brief(one, sheet, width=width) for one in ordered[:MOST_FINDINGS]]
    rest = len(ordered) - MOST_FINDINGS
    if rest > 0:
        more = wording.more_findings.format(count=rest)
        drawn.append(paragraph(more, style=styles.NOTE))
    return drawn
