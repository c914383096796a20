"""One machine on the page an owner reads: what it is, what asks most, how it wears."""

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, exhibits, findings, machine, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_GUTTER = 22.0
_ROWS_SHARE = 0.42
_CURVE = 165.0
# More stands in the annex; page one names what has to be decided.
MOST_FINDINGS = 5


def page(
    record: content.MachinePages, sheet: Sheet, *, key: str, annex_key: str
) -> list[Flowable]:
    """Return the overview of one machine."""
    further = Run(text=sheet.wording.in_annex, link=annex_key)
    return [
        machine.head(record, sheet, key=key, further=further),
        *_what_it_is(record, sheet),
        *_what_asks(record, sheet),
        *exhibits.curves(record, sheet, which=slice(1), height=_CURVE),
    ]


def _what_it_is(record: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the facts with the first groove beside them, or below where it is long."""
    wording, width = sheet.wording, sheet.width
    drawn: list[Flowable] = [paragraph(record.summary, style=styles.LEAD)]
    beside = _beside(record, sheet)
    if beside is not None:
        return [*drawn, blocks.section(wording.what_it_is, beside, width=width)]
    if record.description:
        facts = blocks.rows(record.description, width=width, label_share=0.3)
        drawn.append(blocks.section(wording.what_it_is, facts, width=width))
    if record.groove_sections:
        groove = exhibits.groove(record.groove_sections[0], sheet, width=width / 2)
        drawn.append(blocks.section(wording.groove_sections, groove, width=width))
    return drawn


def _beside(record: content.MachinePages, sheet: Sheet) -> Flowable | None:
    """Return facts and first groove side by side, if both are short enough."""
    if not record.groove_sections:
        return None
    room = sheet.width - _GUTTER
    left, right = room * _ROWS_SHARE, room * (1 - _ROWS_SHARE)
    facts = blocks.rows(record.description, width=left)
    groove = exhibits.groove(record.groove_sections[0], sheet, width=right)
    if not exhibits.are_short((facts, left), (groove, right)):
        return None
    return exhibits.together([[facts, "", groove]], [left, _GUTTER, right], sheet)


def _what_asks(record: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the findings that ask most: grade, what, where, value beside limit."""
    wording = sheet.wording
    if not record.findings:
        none = paragraph(wording.no_findings, style=styles.BODY)
        return [blocks.section(wording.findings, none, width=sheet.width)]
    ordered = findings.in_order_of_urgency(record.findings)
    first, *others = [findings.brief(one, sheet) for one in ordered[:MOST_FINDINGS]]
    drawn: list[Flowable] = [
        blocks.section(wording.findings, first, width=sheet.width),
        *others,
    ]
    rest = len(ordered) - MOST_FINDINGS
    if rest > 0:
        more = wording.more_findings.format(count=rest)
        drawn.append(paragraph(more, style=styles.NOTE))
    return drawn
