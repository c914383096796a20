"""The condition report from page one to the cautions."""

from reportlab.platypus import CondPageBreak, Flowable, PageBreak

from reports import content
from reports.pdf import appendix, blocks, front, machine, stops, strip, styles
from reports.pdf.page import Sheet
from reports.pdf.text import paragraph

_ENOUGH_OF_A_PAGE = 0.75


def story(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole report."""
    return [
        *_first_pages(report, sheet),
        *_machines(report, sheet),
        *_appendices(report, sheet),
    ]


def _first_pages(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    summary, width = report.summary, sheet.width
    links = {m.code: _key(index) for index, m in enumerate(report.machines)}
    drawn: list[Flowable] = [
        *front.masthead(sheet),
        *stops.out_of_service(report.out_of_service, sheet),
        front.headline(summary.headline, width=width),
        blocks.gap(8),
        front.answers(summary, width=width, links=links),
    ]
    if not report.machines:
        drawn += [
            blocks.gap(10),
            paragraph(sheet.wording.no_machines, style=styles.LEAD),
        ]
    if summary.decisions:
        drawn += front.decisions(summary, sheet, links=links)
    if summary.strip is not None:
        named = {f"{m.code} {m.name}": links[m.code] for m in report.machines}
        drawn += strip.strip(summary.strip, sheet, links=named)
    return drawn


def _room(sheet: Sheet) -> float:
    """Return the room below page one's last lines in which a machine may begin."""
    return _ENOUGH_OF_A_PAGE * sheet.body_height


def _key(index: int) -> str:
    return f"machine-{index}"


def _machines(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    drawn: list[Flowable] = []
    for index, record in enumerate(report.machines):
        if index:
            drawn.append(PageBreak())
        else:
            drawn += [blocks.gap(16), CondPageBreak(_room(sheet))]
        drawn += machine.pages(record, sheet, key=_key(index))
    return drawn


def _appendices(report: content.ConditionReport, sheet: Sheet) -> list[Flowable]:
    parts = (
        appendix.checks(report.machines, sheet),
        appendix.readings(report.machines, sheet),
        appendix.criteria(report.criteria_sets, sheet),
        appendix.glossary(report.glossary, sheet),
        appendix.method(report.method, sheet),
        appendix.cautions(sheet),
    )
    drawn: list[Flowable] = [PageBreak()]
    for part in parts:
        if part:
            drawn += [*part, blocks.gap(14)]
    return drawn[:-1]
