"""For the inspector: readings, criteria and sources, words, method, cautions."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.text import paragraph


def checks(machines: Sequence[content.MachinePages], sheet: Sheet) -> list[Flowable]:
    """Return every check of all machines; nothing where none was made."""
    tables = [machine.checks for machine in machines if machine.checks is not None]
    drawn: list[Flowable] = []
    for table in tables:
        drawn += blocks.titled_table(table, width=sheet.width, wording=sheet.wording)
    return _under(sheet.wording.checks_appendix, drawn, key="checks")


def readings(machines: Sequence[content.MachinePages], sheet: Sheet) -> list[Flowable]:
    """Return the readings of all machines; nothing where there are none."""
    tables = []
    for machine in machines:
        tables += [machine.readings] if machine.readings is not None else []
        tables += machine.reading_matrices
    drawn: list[Flowable] = []
    if tables:
        drawn.append(paragraph(sheet.wording.readings_note, style=styles.BODY))
    for table in tables:
        drawn += blocks.titled_table(table, width=sheet.width, wording=sheet.wording)
    return _under(sheet.wording.readings_appendix, drawn, key="readings")


def criteria(sets: Sequence[content.AppliedSet], sheet: Sheet) -> list[Flowable]:
    """Return the criteria sets with their sources and how these were checked."""
    wording = sheet.wording
    columns = (
        content.Column(heading=wording.criterion, share=1.5),
        content.Column(heading=wording.limit, share=1.2),
        content.Column(heading=wording.source, share=1.8),
        content.Column(heading=wording.status, share=1.3),
    )
    drawn: list[Flowable] = []
    for criteria_set in sets:
        table = content.Table(
            title=", ".join(filter(None, (criteria_set.name, criteria_set.edition))),
            columns=columns,
            rows=tuple(
                (row.name, row.limit, row.source, row.status)
                for row in criteria_set.criteria
            ),
            note=criteria_set.note,
        )
        drawn += blocks.titled_table(table, width=sheet.width, wording=wording)
    return _under(wording.criteria, drawn, key="criteria")


def glossary(words: Sequence[content.Row], sheet: Sheet) -> list[Flowable]:
    """Return what the words of the trade mean; nothing where none are given."""
    table = blocks.rows(words, width=sheet.width, label_share=0.24)
    drawn: list[Flowable] = [table] if words else []
    return _under(sheet.wording.glossary, drawn, key="glossary")


def method(steps: Sequence[content.Row], sheet: Sheet) -> list[Flowable]:
    """Return how the findings and forecasts are worked out."""
    drawn: list[Flowable] = [
        blocks.section(
            step.label, paragraph(step.value, style=styles.BODY), width=sheet.width
        )
        for step in steps
    ]
    return _under(sheet.wording.method, drawn, key="method")


def cautions(sheet: Sheet) -> list[Flowable]:
    """Return all cautions with their versions, and how the document was made."""
    wording, masthead = sheet.wording, sheet.masthead
    lines = [
        content.Row(
            label=f"{caution.code} · {caution.version}",
            value="\n".join(filter(None, (caution.text, caution.reason))),
        )
        for caution in masthead.cautions
    ]
    checksum = wording.content_checksum.format(checksum=sheet.checksum)
    versions = (*masthead.versions, content.Row(label=masthead.number, value=checksum))
    made = blocks.rows(versions, width=sheet.width, label_share=0.3)
    parts: list[Flowable] = [made]
    if masthead.released:
        parts += [blocks.gap(8), paragraph(masthead.released, style=styles.BODY)]
    # Who released it never stands on a page of its own.
    end = flow.Stack(parts, page_height=sheet.body_height)
    drawn: list[Flowable] = [
        paragraph(masthead.deferral, style=styles.LEAD),
        blocks.gap(6),
        blocks.rows(lines, width=sheet.width, label_share=0.2),
        blocks.section(wording.versions, end, width=sheet.width),
    ]
    return _under(wording.cautions, drawn, key="cautions")


def _under(title: str, drawn: list[Flowable], *, key: str) -> list[Flowable]:
    """Return the blocks with a chapter heading over the first; or nothing."""
    if not drawn:
        return []
    return [blocks.chapter(title, drawn[0], key=key), *drawn[1:]]
