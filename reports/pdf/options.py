"""What can be done about a machine, and what is chosen or advised."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import blocks, flow, styles
from reports.pdf.page import Sheet
from reports.pdf.text import Run, paragraph

_FACTS_SHARE = 0.74


def options(machine: content.MachinePages, sheet: Sheet) -> list[Flowable]:
    """Return the options: what is chosen or advised, those open, those that are not.

    Nothing where there are none.
    """
    wording = sheet.wording
    drawn: list[Flowable] = []
    if machine.recommendation:
        words = blocks.labelled(
            wording.recommendation, machine.recommendation, style=styles.BODY
        )
        drawn.append(blocks.grid([[words], [blocks.gap(4)]], [sheet.width]))
    drawn += [_option(one, sheet) for one in machine.options if not _is_ruled_out(one)]
    drawn += _ruled_out([o for o in machine.options if _is_ruled_out(o)], sheet)
    if not drawn:
        return []
    drawn[0] = blocks.section(wording.options, drawn[0], width=sheet.width)
    for text in machine.options_cautions:
        line = blocks.grid([[paragraph(text, style=styles.NOTE)]], [sheet.width])
        drawn += [blocks.gap(3), line]
    return drawn


def _is_ruled_out(option: content.PrintedOption) -> bool:
    return bool(option.blocked or option.pointless)


def _option(option: content.PrintedOption, sheet: Sheet) -> Flowable:
    wording = sheet.wording
    name = [Run(text=option.name, bold=True)]
    if option.is_chosen:
        name.append(Run(text=f"  ◂ {wording.chosen}", oblique=True))
    elif option.is_recommended:
        name.append(Run(text=f"  ◂ {wording.recommended}", oblique=True))
    room = sheet.width * _FACTS_SHARE
    facts = paragraph(_run_in(_facts(option, wording)), style=styles.CELL)
    block = blocks.grid(
        [[paragraph(name, style=styles.BODY), facts]],
        [sheet.width - room, room],
        ("LINEABOVE", (0, 0), (-1, 0), 0.3, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
        ("RIGHTPADDING", (0, 0), (0, -1), 10),
    )
    return flow.Stack([block], page_height=sheet.body_height)


def _run_in(facts: Sequence[tuple[str, str]]) -> list[Run]:
    """Return what is said of an option as one paragraph, each label before its text."""
    runs: list[Run] = []
    for at, (label, text) in enumerate(facts):
        lead = "" if at == 0 else "  ·  "
        # No break between a label and its first word.
        runs += [Run(text=f"{lead}{label}\u00a0", bold=True), Run(text=text)]
    return runs


def _ruled_out(
    options_: Sequence[content.PrintedOption], sheet: Sheet
) -> list[Flowable]:
    """Return those that are not open or would not help, by their reasons."""
    if not options_:
        return []
    wording = sheet.wording
    together: dict[str, list[content.PrintedOption]] = {}
    for option in options_:
        together.setdefault(_why(option, wording), []).append(option)
    table = content.Table(
        title="",
        columns=(
            content.Column(heading=wording.not_open, share=1.0),
            content.Column(heading=wording.reason, share=2.4),
        ),
        rows=tuple(
            ("; ".join(_named(option, wording) for option in found), why)
            for why, found in together.items()
        ),
    )
    return [blocks.gap(6), blocks.table(table, width=sheet.width)]


def _why(option: content.PrintedOption, wording: content.Wording) -> str:
    return "\n".join(f"{label}: {text}" for label, text in _facts(option, wording))


def _facts(
    option: content.PrintedOption, wording: content.Wording
) -> list[tuple[str, str]]:
    """Return what is said of an option, each under its label."""
    pairs = (
        (wording.blocked, option.blocked),
        (wording.pointless, option.pointless),
        (wording.possible, option.possible),
        (wording.addresses, option.addresses),
        (wording.plan_before, option.plan_before),
        (wording.order_by, option.order_by),
        (wording.cost, option.cost),
        (wording.leaves_open, option.leaves_open),
        (wording.measure_before, option.measure_before),
        (wording.consequence, option.consequence),
    )
    further = ((row.label, row.value) for row in option.further)
    return [(label, text) for label, text in (*pairs, *further) if text]


def _named(option: content.PrintedOption, wording: content.Wording) -> str:
    return f"{option.name} ({wording.chosen})" if option.is_chosen else option.name
