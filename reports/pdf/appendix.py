"""For the inspector: readings, criteria and sources, words, method, cautions."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_GUTTER = 22.0
_BESIDE = 2
# Letters that half a line of a table holds; a column's share is its letters.
_HALF_A_LINE = 52.0
_TALLEST_BESIDE = 330.0


def checks(machines: Sequence[content.MachinePages], sheet: Sheet) -> list[Flowable]:
    """Return every check of all machines; nothing where none was made."""
    tables = [machine.checks for machine in machines if machine.checks is not None]
    drawn: list[Flowable] = []
    for table in tables:
        drawn += _close(table, sheet)
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
    waiting: list[content.Table] = []
    for table in tables:
        waiting.append(table)
        if not _is_narrow(table):
            drawn += [each for one in waiting for each in _close(one, sheet)]
            waiting = []
        elif len(waiting) == _BESIDE:
            drawn += _beside(waiting, sheet)
            waiting = []
    drawn += [each for one in waiting for each in _close(one, sheet)]
    return _under(sheet.wording.readings_appendix, drawn, key="readings")


def _close(table: content.Table, sheet: Sheet, *, width: float = 0.0) -> list[Flowable]:
    return blocks.titled_table(
        table,
        width=width or sheet.width,
        wording=sheet.wording,
        air=blocks.CLOSE,
        is_one_of_many=True,
    )


def _is_narrow(table: content.Table) -> bool:
    """Tell whether half a page is wide enough for a table."""
    return sum(column.share for column in table.columns) <= _HALF_A_LINE


def _beside(tables: Sequence[content.Table], sheet: Sheet) -> list[Flowable]:
    """Return two narrow tables beside each other, or below where they are long."""
    room = (sheet.width - _GUTTER) / 2
    columns = [_close(table, sheet, width=room) for table in tables]
    tall = [sum(part.wrap(room, 1e4)[1] for part in column) for column in columns]
    if max(tall) > _TALLEST_BESIDE:
        return [each for table in tables for each in _close(table, sheet)]
    left, right = columns
    grid = blocks.grid([[left, "", right]], [room, _GUTTER, room])
    return [flow.Stack([grid], page_height=sheet.body_height)]


def criteria(sets: Sequence[content.AppliedSet], sheet: Sheet) -> list[Flowable]:
    """Return the criteria sets; each source stands once, with how it was checked."""
    wording = sheet.wording
    drawn: list[Flowable] = []
    for criteria_set in sets:
        sources = list(
            dict.fromkeys((c.source, c.status) for c in criteria_set.criteria)
        )
        rows = [
            (row.name, row.limit, f"[{sources.index((row.source, row.status)) + 1}]")
            for row in criteria_set.criteria
        ]
        half = (len(rows) + 1) // 2
        padded = [*rows, *[("", "", "")] * (2 * half - len(rows))]
        columns = (
            content.Column(heading=wording.criterion, share=2.0),
            content.Column(heading=wording.limit, share=1.1),
            content.Column(heading=wording.source, share=0.45),
        )
        table = content.Table(
            title=", ".join(filter(None, (criteria_set.name, criteria_set.edition))),
            columns=(*columns, *columns),
            rows=tuple(
                (*one, *other)
                for one, other in zip(padded[:half], padded[half:], strict=True)
            ),
            note=criteria_set.note,
        )
        drawn += _close(table, sheet)
        named = (
            f"[{number}] {source} – {status}"
            for number, (source, status) in enumerate(sources, 1)
        )
        heading = f"{wording.source}, {wording.status}: "
        told = [Run(text=heading, bold=True), Run(text="; ".join(named))]
        drawn += [blocks.gap(3), paragraph(told, style=styles.NOTE)]
    return _under(wording.criteria, drawn, key="criteria")


def glossary(words: Sequence[content.Row], sheet: Sheet) -> list[Flowable]:
    """Return what the words of the trade mean; nothing where none are given."""
    half = (len(words) + 1) // 2
    columns = [list(words[:half]), list(words[half:])]
    room = (sheet.width - _GUTTER) / 2
    sides = [
        blocks.rows(rows, width=room, label_share=0.3, air=1.6) if rows else ""
        for rows in columns
    ]
    drawn: list[Flowable] = []
    if words:
        drawn.append(blocks.grid([[sides[0], "", sides[1]]], [room, _GUTTER, room]))
    return _under(sheet.wording.glossary, drawn, key="glossary")


def method(steps: Sequence[content.Row], sheet: Sheet) -> list[Flowable]:
    """Return how the findings and forecasts are worked out."""
    table = blocks.rows(steps, width=sheet.width, label_share=0.14)
    return _under(sheet.wording.method, [table] if steps else [], key="method")


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
