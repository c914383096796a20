"""The portfolio review for the contractor's office."""

from collections.abc import Sequence

from reportlab.platypus import Flowable

from reports import content
from reports.figures import palette
from reports.pdf import appendix, blocks, front, stops, strip, styles
from reports.pdf.page import Sheet
from reports.pdf.text import paragraph

_FIGURES_A_ROW = 4


def story(review: content.PortfolioReview, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole review."""
    drawn: list[Flowable] = [
        *front.masthead(sheet),
        *stops.out_of_service(
            review.out_of_service, sheet, more=review.more_out_of_service
        ),
        front.headline(review.headline, width=sheet.width),
        blocks.gap(8),
    ]
    if review.figures:
        drawn.append(_figures(review.figures, width=sheet.width))
    if review.strip is not None:
        drawn += strip.strip(review.strip, sheet)
    tables = (
        review.overdue,
        review.open_findings,
        review.forecast_record,
        review.worklist,
        review.by_building,
        review.by_part,
        review.budget,
    )
    for table in tables:
        if table is None:
            continue
        drawn += blocks.titled_table(table, width=sheet.width, wording=review.wording)
        if table is review.forecast_record:
            drawn += _remarks(review.forecast_remarks)
    # Also where there is no table: a remark then says why.
    drawn += [blocks.gap(4), *_remarks(review.budget_remarks)]
    return [*drawn, blocks.gap(12), *appendix.cautions(sheet)]


def _remarks(remarks: Sequence[str]) -> list[Flowable]:
    return [paragraph(remark, style=styles.BODY) for remark in remarks]


def _figures(figures: Sequence[content.Row], *, width: float) -> Flowable:
    """Return the few numbers that matter, large, with their labels."""
    cells: list[object] = [
        [
            paragraph(figure.value, style=styles.CHAPTER),
            paragraph(figure.label, style=styles.LABEL),
        ]
        for figure in figures
    ]
    cells += [""] * (-len(cells) % _FIGURES_A_ROW)
    lines = [
        cells[start : start + _FIGURES_A_ROW]
        for start in range(0, len(cells), _FIGURES_A_ROW)
    ]
    return blocks.grid(
        lines,
        [width / _FIGURES_A_ROW] * _FIGURES_A_ROW,
        ("LINEABOVE", (0, 0), (-1, -1), 0.5, palette.RULE),
        ("TOPPADDING", (0, 0), (-1, -1), 5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 7),
        ("RIGHTPADDING", (0, 0), (-2, -1), 10),
    )
