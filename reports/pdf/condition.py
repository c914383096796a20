"""The condition report from page one to the cautions."""

from reportlab.platypus import CondPageBreak, Flowable

from reports import content
from reports.pdf import (
    appendix,
    blocks,
    flow,
    front,
    machine,
    overview,
    stops,
    strip,
    styles,
    tried,
)
from reports.pdf.page import Sheet
from reports.pdf.text import paragraph

# The share of a page in which a machine of the annex may begin.
_ENOUGH_OF_A_PAGE = 0.3
_MOST_LEFT_EMPTY = 0.6
_NEARLY_A_PAGE = 2 / 3


def story(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole report: the owner's part, then the annex."""
    return [
        *_first_pages(report, sheet),
        *_overviews(report, sheet),
        *_time_bars(report, sheet),
        *_annex(report, sheet),
        *_appendices(report, sheet),
    ]


def _first_pages(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    summary, width = report.summary, sheet.width
    links = {m.code: _key(index) for index, m in enumerate(report.machines)}
    drawn: list[Flowable] = [
        *front.masthead(sheet),
        *stops.out_of_service(report.out_of_service, sheet),
        front.headline(summary.headline, width=width),
        *front.provisional(summary, width=width),
        *front.lifts(summary, sheet, links=links),
    ]
    if not report.machines:
        drawn += [
            blocks.gap(10),
            paragraph(sheet.wording.no_machines, style=styles.LEAD),
        ]
    if summary.decisions:
        drawn += front.decisions(summary, sheet, links=links)
    drawn += [blocks.gap(10), front.answers(summary, width=width, links=links)]
    return drawn


def _time_bars(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    """Return when each machine may reach a limit, where the last lift leaves room."""
    if report.summary.strip is None:
        return []
    links = {f"{m.code} {m.name}": _key(n) for n, m in enumerate(report.machines)}
    return strip.strip(report.summary.strip, sheet, links=links)


def _key(index: int) -> str:
    return f"machine-{index}"


def _annex_key(index: int) -> str:
    return f"annex-{index}"


def _overviews(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    """Return what an owner reads of each machine: one page, two at the most."""
    drawn: list[Flowable] = []
    for index, record in enumerate(report.machines):
        told = overview.page(
            record, sheet, key=_key(index), annex_key=_annex_key(index)
        )
        heights = (each.wrap(sheet.width, sheet.body_height)[1] for each in told)
        # A lift is read on one page, unless most of the page before were left empty.
        room = min(sum(heights), _MOST_LEFT_EMPTY * sheet.body_height)
        drawn += [blocks.gap(16), CondPageBreak(room), *told]
    return drawn


def _annex(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    """Return everything that is behind it, machine by machine."""
    if not report.machines:
        return []
    wording = sheet.wording
    title = paragraph(wording.annex, style=styles.CHAPTER)
    drawn: list[Flowable] = [
        # On a page of its own, unless the owner's last page is nearly empty.
        blocks.gap(16),
        CondPageBreak(_NEARLY_A_PAGE * sheet.body_height),
        flow.Anchor(title, key="annex", title=wording.annex, level=0),
        paragraph(wording.annex_for, style=styles.BODY),
        blocks.gap(10),
    ]
    for index, record in enumerate(report.machines):
        if index:
            drawn += [
                blocks.gap(16),
                CondPageBreak(_ENOUGH_OF_A_PAGE * sheet.body_height),
            ]
        drawn += machine.details(
            record, sheet, key=_annex_key(index), overview_key=_key(index)
        )
    return drawn


def _appendices(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    parts = (
        tried.chapter(report.tried, sheet),
        appendix.checks(report.machines, sheet),
        appendix.readings(report.machines, sheet),
        appendix.criteria(report.criteria_sets, sheet),
        appendix.glossary(report.glossary, sheet),
        appendix.method(report.method, sheet),
        appendix.cautions(sheet),
    )
    # On the page where the last machine ends, if a good part of it is left.
    room = _ENOUGH_OF_A_PAGE * sheet.body_height
    drawn: list[Flowable] = [blocks.gap(16), CondPageBreak(room)]
    for part in parts:
        if part:
            drawn += [*part, blocks.gap(14)]
    return drawn[:-1]
