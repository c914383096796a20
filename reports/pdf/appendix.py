"""For the inspector: readings, criteria and sources, words, method, cautions."""

from collections.abc import Sequence
from itertools import groupby

from reportlab.platypus import Flowable, Spacer

from reports import content
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_GUTTER = 22.0
# Letters that half a line of a table holds; a column's share is its letters.
_HALF_A_LINE = 52.0
# Columns of more would leave the rest of a page empty.
_TALLEST_BESIDE = 210.0


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
        # Narrow ones first: they stand beside each other.
        tables += sorted(machine.reading_matrices, key=_is_narrow, reverse=True)
    drawn: list[Flowable] = []
    for is_narrow, members in groupby(tables, key=_is_narrow):
        if is_narrow:
            drawn += _in_two_columns(list(members), sheet)
        else:
            drawn += [each for one in members for each in _close(one, sheet)]
    note = paragraph(sheet.wording.readings_note, style=styles.BODY)
    return _under(sheet.wording.readings_appendix, drawn, key="readings", note=note)


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


def _in_two_columns(tables: Sequence[content.Table], sheet: Sheet) -> list[Flowable]:
    """Return narrow tables in two columns, each table in the one that is shorter."""
    room = (sheet.width - _GUTTER) / 2
    drawn: list[Flowable] = []
    columns: list[list[Flowable]] = [[], []]
    heights = [0.0, 0.0]
    for table in tables:
        parts = _close(table, sheet, width=room)
        tall = sum(part.wrap(room, 1e4)[1] for part in parts)
        if tall > _TALLEST_BESIDE:
            drawn += [*_both(columns, sheet), *_close(table, sheet)]
            columns, heights = [[], []], [0.0, 0.0]
            continue
        if min(heights) + tall > _TALLEST_BESIDE:
            drawn += _both(columns, sheet)
            columns, heights = [[], []], [0.0, 0.0]
        shorter = heights.index(min(heights))
        columns[shorter] += parts
        heights[shorter] += tall
    return [*drawn, *_both(columns, sheet)]


def _both(columns: Sequence[list[Flowable]], sheet: Sheet) -> list[Flowable]:
    """Return two columns beside each other; nothing where there is none."""
    left, right = columns
    if not left:
        return []
    room = (sheet.width - _GUTTER) / 2
    grid = blocks.grid([[left, "", right or ""]], [room, _GUTTER, room])
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
            f"[{number}] {source}" + ("" if status in source else f" – {status}")
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
    """Return all cautions with their versions, and how the document was made.

    The checksum of the content stands at the foot of every page.
    """
    wording, masthead = sheet.wording, sheet.masthead
    lines = [
        content.Row(
            label=f"{caution.code} · {caution.version}",
            value=" ".join(filter(None, (caution.text, caution.reason))),
        )
        for caution in masthead.cautions
    ]
    made = [f"{row.label}: {row.value}" for row in masthead.versions]
    said = " · ".join(filter(None, (*made, masthead.released)))
    end = paragraph(
        [Run(text=f"{wording.versions}: ", bold=True), Run(text=said)],
        style=styles.NOTE,
    )
    drawn: list[Flowable] = [
        paragraph(masthead.deferral, style=styles.LEAD),
        # Before the rows: at their end it might stand on a page of its own.
        *([blocks.gap(4), end] if said else []),
        blocks.gap(6),
        blocks.rows(lines, width=sheet.width, label_share=0.2),
    ]
    return _under(wording.cautions, drawn, key="cautions")


def _under(
    title: str, drawn: list[Flowable], *, key: str, note: Flowable | None = None
) -> list[Flowable]:
    """Return the blocks with a chapter heading over the first; or nothing.

    Neither heading nor note ends a page without the block that follows them.
    """
    if not drawn:
        return []
    # Air before the first block would pass for the block that the heading stays with.
    first, *rest = drawn[1:] if isinstance(drawn[0], Spacer) else drawn
    body = first if note is None else blocks.under(note, first)
    return [blocks.chapter(title, body, key=key), *rest]
