"""Nothing of the content leaves its page or runs into the foot."""

from dataclasses import replace

import pytest

from reports import content
from reports.pdf import document, page
from tests.reports import (
    sample_content,
    sample_documents,
    sample_figures,
    sample_machines,
    stress_content,
)
from tests.reports.pdf import opened


def with_many_figures():
    """Return a report whose machine has four grooves and two curves."""
    machine = replace(
        sample_machines.undercut_machine(),
        groove_sections=(
            sample_figures.undercut_section(),
            sample_figures.v_section(),
            sample_figures.undercut_section(),
            sample_figures.v_section(),
        ),
        wear_curves=(sample_figures.clearance_curve(), sample_figures.seat_curve()),
    )
    return replace(sample_content.report(), machines=(machine,))


def sheet_with_many_boxes():
    """Return a field sheet with a step that no page can hold."""
    sheet = sample_documents.field_sheet()
    step = replace(sheet.steps[0], boxes=sheet.steps[0].boxes * 20)
    return replace(sheet, steps=(sheet.steps[1], step))


REPORTS = {
    "sample": sample_content.report,
    "many figures": with_many_figures,
    "many figures, letter": lambda: stress_content.on_letter(with_many_figures()),
    "long word": lambda: stress_content.long_report(stress_content.LONG_NAME),
    "prose": lambda: stress_content.wordy_report("wordy " * 120 + "end"),
    "long prose": lambda: stress_content.wordy_report("wordy " * 600 + "end"),
    "sheet": sample_documents.field_sheet,
    "many boxes": sheet_with_many_boxes,
    "review": sample_documents.portfolio_review,
    "record": sample_documents.return_to_service,
    "order": sample_documents.regroove_sheet,
    "ropes": sample_documents.rope_order,
}


def positions(pdf_page):
    """Return where each text of the content begins, decoration left out."""
    found, decorated = [], [False]

    def visit(operator, operands, matrix, text):
        if operator in (b"BMC", b"BDC"):
            decorated[0] = operands[0] == "/Artifact"
        elif operator == b"EMC":
            decorated[0] = False
        elif operator in (b"Tj", b"TJ") and not decorated[0]:
            x = text[4] * matrix[0] + text[5] * matrix[2] + matrix[4]
            y = text[4] * matrix[1] + text[5] * matrix[3] + matrix[5]
            found.append((x, y))

    pdf_page.extract_text(visitor_operand_before=visit)
    return found


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.long if name == "long prose" else ())
        for name in REPORTS
    ],
)
def test_no_content_leaves_the_page_or_runs_into_the_foot(name):
    made = REPORTS[name]()
    sheet = page.Sheet(
        masthead=made.masthead,
        wording=made.wording,
        checksum=content.checksum(made),
    )

    pages = opened.reader(document.draw(document=made)).pages

    for number, pdf_page in enumerate(pages, start=1):
        for x, y in positions(pdf_page):
            assert 49 <= x <= sheet.size[0] - 50, (number, x, y)
            assert sheet.foot_height <= y <= sheet.size[1] - 40, (number, x, y)


def test_the_paper_has_the_size_it_says():
    for make, size in (
        (sample_content.report, (595.276, 841.89)),
        (lambda: stress_content.on_letter(sample_content.report()), (612, 792)),
    ):
        box = opened.reader(document.draw(document=make())).pages[0].mediabox
        assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)


def test_cautions_too_long_for_page_one_stand_in_the_text():
    report = sample_content.report()
    long = replace(report.masthead.cautions[0], text="A long caution. " * 240 + "end")
    masthead = replace(
        report.masthead, cautions=(long, long, *report.masthead.cautions)
    )

    text = opened.whole(document.draw(document=replace(report, masthead=masthead)))

    assert opened.folded(long.text) in text
