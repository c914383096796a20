"""For the inspector: readings, criteria and sources, words, method, cautions."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, styles
from reports.pdf.page import Sheet
from reports.pdf.text import paragraph


def readings(machines: Sequence[content.MachinePages], sheet: Sheet) -> list[Flowable]:
    """Return the readings of all machines; nothing where there are none."""
    tables = [machine.readings for machine in machines if machine.readings is not None]
    if not tables:
        return []
    drawn: list[Flowable] = [
        blocks.chapter(sheet.wording.readings_appendix, key="readings")
    ]
    for table in tables:
        drawn += blocks.titled_table(table, width=sheet.width, wording=sheet.wording)
    return drawn


def criteria(sets: Sequence[content.CriteriaSet], sheet: Sheet) -> list[Flowable]:
    """Return the criteria sets with their sources and how these were checked."""
    if not sets:
        return []
    wording = sheet.wording
    drawn: list[Flowable] = [blocks.chapter(wording.criteria, key="criteria")]
    columns = (
        content.Column(heading=wording.criterion, share=1.5),
        content.Column(heading=wording.limit, share=1.2),
        content.Column(heading=wording.source, share=1.8),
        content.Column(heading=wording.status, share=1.3),
    )
    for criteria_set in sets:
        table = content.Table(
            title=f"{criteria_set.name}, {criteria_set.edition}",
            columns=columns,
            rows=tuple(
                (row.name, row.limit, row.source, row.status)
                for row in criteria_set.criteria
            ),
            note=criteria_set.note,
        )
        drawn += blocks.titled_table(table, width=sheet.width, wording=wording)
    return drawn


def glossary(words: Sequence[content.Row], sheet: Sheet) -> list[Flowable]:
    """Return what the words of the trade mean."""
    if not words:
        return []
    return [
        blocks.chapter(sheet.wording.glossary, key="glossary"),
        blocks.rows(words, width=sheet.width, label_share=0.24),
        blocks.gap(18),
    ]


def method(steps: Sequence[content.Row], sheet: Sheet) -> list[Flowable]:
    """Return how the findings and forecasts are worked out."""
    if not steps:
        return []
    drawn: list[Flowable] = [blocks.chapter(sheet.wording.method, key="method")]
    for step in steps:
        text = paragraph(step.value, style=styles.BODY)
        drawn.append(blocks.section(step.label, text, width=sheet.width))
    return drawn


def cautions(sheet: Sheet) -> list[Flowable]:
    """Return all cautions with their versions, and how the document was made."""
    wording, masthead = sheet.wording, sheet.masthead
    lines = [
        content.Row(label=f"{caution.code} · {caution.version}", value=words)
        for caution in masthead.cautions
        for words in (
            f"{caution.text}\n{caution.reason}" if caution.reason else caution.text,
        )
    ]
    checksum = wording.content_checksum.format(checksum=sheet.checksum)
    versions = [
        *masthead.versions,
        content.Row(label=masthead.number, value=checksum),
    ]
    drawn: list[Flowable] = [
        blocks.chapter(wording.cautions, key="cautions"),
        paragraph(masthead.deferral, style=styles.LEAD),
        blocks.gap(6),
        blocks.rows(lines, width=sheet.width, label_share=0.14),
        blocks.section(
            wording.versions,
            blocks.rows(versions, width=sheet.width, label_share=0.3),
            width=sheet.width,
        ),
    ]
    if masthead.released:
        drawn += [blocks.gap(8), paragraph(masthead.released, style=styles.BODY)]
    return drawn
