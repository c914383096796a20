"""Page one: whose report, about what, and the answers in plain words."""

from collections.abc import Mapping, Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, flow, page, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph


def masthead(sheet: Sheet) -> list[Flowable]:
    """Return the head of page one: contractor, title, and the four facts."""
    head, wording = sheet.masthead, sheet.wording
    title = paragraph(head.title, style=styles.TITLE)
    parts = (
        (wording.prepared_for, head.owner.name, head.owner.lines),
        (wording.place, head.place.name, head.place.lines),
        (wording.prepared_by, head.contractor.name, head.contractor.lines),
        (wording.period, head.period, (f"{wording.issued} {head.issued}",)),
    )
    return [
        paragraph(head.kind, style=styles.KIND),
        flow.Anchor(title, key="top", title=head.title, level=0, gap=8),
        _facts(parts, sheet.width),
        blocks.gap(3),
        paragraph(_numbers(sheet), style=styles.NOTE),
        blocks.gap(8),
        *_cautions(sheet),
    ]


def _numbers(sheet: Sheet) -> str:
    """Return number and revision, what it replaces, and who released it, in a line."""
    head, wording = sheet.masthead, sheet.wording
    numbers = [head.number, wording.revision.format(revision=head.revision)]
    if head.supersedes:
        numbers.append(wording.supersedes.format(number=head.supersedes))
    if head.address:
        numbers.append(wording.page_of_document.format(address=head.address))
    return "  ·  ".join(filter(None, (*numbers, head.released)))


def _cautions(sheet: Sheet) -> list[Flowable]:
    """Return the cautions where page one has no room for them above its foot."""
    if sheet.has_cautions_at_foot:
        return []
    return [page.caution_box(sheet), blocks.gap(10)]


def _facts(
    parts: tuple[tuple[str, str, tuple[str, ...]], ...], width: float
) -> Flowable:
    cells = [
        [
            paragraph(label, style=styles.LABEL),
            paragraph([Run(text=name, bold=True)], style=styles.CELL),
            *(paragraph(line, style=styles.CELL) for line in lines),
        ]
        for label, name, lines in parts
    ]
    return blocks.grid(
        [cells],
        [width / len(cells)] * len(cells),
        ("LINEABOVE", (0, 0), (-1, 0), 1.2, palette.INK),
        ("LINEBELOW", (0, 0), (-1, 0), 0.5, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
        ("RIGHTPADDING", (0, 0), (-2, -1), 10),
    )


def headline(text: str, *, width: float) -> Flowable:
    """Return the one sentence that matters most."""
    return blocks.grid(
        [[paragraph(text, style=styles.HEADLINE)]],
        [width],
        ("LINEBEFORE", (0, 0), (0, -1), 3, palette.ACCENT),
        ("LEFTPADDING", (0, 0), (-1, -1), 10),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
    )


def provisional(summary: content.Summary, *, width: float) -> list[Flowable]:
    """Return that deciding limits are from memory, in a box; nothing where none is."""
    if not summary.provisional:
        return []
    words = paragraph(summary.provisional, style=styles.CAUTION)
    box = blocks.grid(
        [[words]],
        [width],
        ("BOX", (0, 0), (-1, -1), 0.7, palette.INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 8),
        ("RIGHTPADDING", (0, 0), (-1, -1), 8),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
    )
    return [blocks.gap(6), box]


def answers(
    summary: content.Summary, *, width: float, links: Mapping[str, str]
) -> Flowable:
    """Return the questions of an owner with their answers.

    A paragraph about a machine leads to its pages by ``links``.
    """
    lines = [
        [
            paragraph(answer.question, style=styles.QUESTION),
            [
                paragraph(_linked(text, answer.head(at), links), style=styles.ANSWER)
                for at, text in enumerate(answer.paragraphs)
            ],
        ]
        for answer in summary.answers
    ] or [["", ""]]
    return blocks.grid(
        lines,
        [width * 0.27, width * 0.73],
        ("LINEABOVE", (0, 0), (-1, -1), 0.3, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 3.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ("RIGHTPADDING", (0, 0), (0, -1), 12),
    )


def _linked(text: str, head: Sequence[str], links: Mapping[str, str]) -> list[Run]:
    """Return a paragraph with each machine at its head leading to its pages."""
    runs = []
    for code in head:
        runs += [Run(text=code, link=links.get(code, "")), Run(text=", ")]
    return [*runs[:-1], Run(text=text.removeprefix(", ".join(head)))]


def lifts(
    summary: content.Summary, sheet: Sheet, *, links: Mapping[str, str]
) -> list[Flowable]:
    """Return a line for each lift; nothing in reports made before there were any."""
    if not summary.lifts:
        return []
    wording = sheet.wording
    table = content.Table(
        title=wording.lifts,
        columns=(
            content.Column(heading=wording.machine, share=0.95),
            content.Column(heading="", share=1.4),
            content.Column(heading=wording.state, share=1.65),
            content.Column(heading=wording.measured, share=1.0),
            content.Column(heading=wording.says_most, share=2.9),
        ),
        rows=tuple(
            (line.machine, line.name, line.state, line.measured, line.says_most)
            for line in summary.lifts
        ),
    )
    drawn = blocks.titled_table(table, width=sheet.width, wording=wording, links=links)
    told = " ".join(filter(None, (summary.next_visit, summary.call)))
    if told:
        drawn += [
            blocks.gap(3),
            paragraph([Run(text=told, bold=True)], style=styles.BODY),
        ]
    return drawn


def decisions(
    summary: content.Summary, sheet: Sheet, *, links: Mapping[str, str]
) -> list[Flowable]:
    """Return the table of what must be decided; each machine leads to its pages."""
    wording = sheet.wording
    advised = any(row.advice for row in summary.decisions)
    columns = (
        content.Column(heading=wording.machine, share=1.1),
        content.Column(heading=wording.matter, share=1.7),
        *((content.Column(heading=wording.do_this, share=3.2),) if advised else ()),
        content.Column(heading=wording.answer_by, share=1.25),
        content.Column(heading=wording.plan_before, share=1.3),
        content.Column(heading=wording.cost, share=1.55 if advised else 1.2),
    )
    table = content.Table(
        title=wording.decisions,
        columns=columns,
        rows=tuple(
            (
                row.machine,
                row.matter,
                *((row.advice,) if advised else ()),
                _answer_by(row, wording),
                "\n".join(filter(None, (row.plan_before, row.chance))),
                row.cost,
            )
            for row in summary.decisions
        ),
    )
    if not summary.total:
        return blocks.titled_table(
            table, width=sheet.width, wording=wording, links=links
        )
    # The sum stands first: a long table may end on the next page.
    told = paragraph([Run(text=summary.total, bold=True)], style=styles.BODY)
    return [
        blocks.section(table.title, told, width=sheet.width),
        blocks.gap(4),
        blocks.table(table, width=sheet.width, links=links),
    ]


def _answer_by(row: content.Decision, wording: content.Wording) -> str:
    """Return the day to answer by; the day to order by under it where they differ."""
    if not row.answer_by or not row.order_by:
        return row.answer_by or row.order_by
    if row.answer_by == row.order_by:
        return row.answer_by
    return f"{row.answer_by}\n{wording.order_by}: {row.order_by}"
