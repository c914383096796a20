"""Headings never end a page alone; blocks stay whole where a page can hold them."""

from reportlab.platypus import Spacer

from reports.pdf import blocks, flow, styles
from reports.pdf.text import paragraph

WIDTH, PAGE = 400.0, 700.0


def table(rows):
    return blocks.grid(
        [[paragraph(f"row {number}", style=styles.BODY)] for number in range(rows)],
        [WIDTH],
    )


def test_a_heading_moves_on_with_its_block_where_only_the_heading_fits():
    headed = flow.Headed(Spacer(1, 20), table(40))

    headed.wrap(WIDTH, 25)

    assert headed.split(WIDTH, 25) == []


def test_a_heading_stays_with_the_part_of_the_block_that_fits():
    headed = flow.Headed(Spacer(1, 20), table(40))
    headed.wrap(WIDTH, 100)

    first, *rest = headed.split(WIDTH, 100)

    assert isinstance(first, flow.Headed)
    assert first.wrap(WIDTH, 100)[1] <= 100
    assert len(rest) == 1


def test_a_block_that_fits_a_page_is_not_torn():
    stack = flow.Stack([Spacer(1, 100), Spacer(1, 300)], page_height=PAGE)
    stack.wrap(WIDTH, 350)

    assert stack.split(WIDTH, 350) == []


def test_a_block_larger_than_a_page_is_let_go():
    parts = [Spacer(1, 500), Spacer(1, 600)]
    stack = flow.Stack(parts, page_height=PAGE)
    stack.wrap(WIDTH, PAGE)

    assert stack.split(WIDTH, PAGE) == parts


def test_a_stack_is_as_high_as_its_parts_and_gaps():
    stack = flow.Stack([Spacer(1, 10), Spacer(1, 20)], page_height=PAGE, gap=5)

    assert stack.wrap(WIDTH, PAGE) == (WIDTH, 35)


def test_a_row_that_does_not_fit_any_more_goes_on_whole():
    long = [paragraph(f"line {number}", style=styles.BODY) for number in range(9)]
    question = paragraph("question", style=styles.BODY)
    rows = blocks.grid([[question, long], [question, long]], [WIDTH / 2, WIDTH / 2])
    row = rows.wrap(WIDTH, PAGE)[1] / 2

    first, rest = rows.split(WIDTH, 1.5 * row)

    assert first.wrap(WIDTH, PAGE)[1] == row
    assert rest.wrap(WIDTH, PAGE)[1] == row
    # What is left of the page holds half of it: it goes on with its question.
    assert rest.split(WIDTH, row / 2) == []


def test_a_row_that_is_higher_than_a_page_goes_over_pages():
    long = [paragraph(f"line {number}", style=styles.BODY) for number in range(99)]
    row = blocks.grid([["", long]], [WIDTH / 2, WIDTH / 2])

    parts = row.split(WIDTH, PAGE)

    assert len(parts) == 2
    assert parts[0].wrap(WIDTH, PAGE)[1] <= PAGE
