"""The structure tree: whole, in reading order, with words for every figure."""

from dataclasses import replace
from itertools import pairwise

import pytest
from pypdf.generic import ContentStream

from reports import content
from reports.pdf import document
from reports.pdf.spoken import spoken
from tests.reports import sample_content, sample_documents, sample_machines
from tests.reports.pdf import opened

TEXT_OPERATORS = {b"Tj", b"TJ", b"'", b'"'}
STROKES = {b"S", b"s", b"f", b"F", b"B", b"b", b"f*", b"B*"}


@pytest.fixture(scope="module")
def reader(drawn):
    return opened.reader(drawn)


def elements(reader):
    """Return all elements below the root in the order of the tree."""
    found = []

    def walk(element):
        found.append(element)
        for kid in element["/K"]:
            if not isinstance(kid, int) and "/S" in kid.get_object():
                walk(kid.get_object())

    walk(reader.trailer["/Root"]["/StructTreeRoot"]["/K"].get_object())
    return found


def depths(page, reader):
    """Yield each operator of a page with how deep in marked content it stands."""
    depth = 0
    for _, operator in ContentStream(page.get_contents(), reader).operations:
        if operator in (b"BDC", b"BMC"):
            depth += 1
        yield operator, depth
        if operator == b"EMC":
            depth -= 1
    assert depth == 0


def test_the_file_says_that_it_is_tagged(reader):
    root = reader.trailer["/Root"]

    assert root["/MarkInfo"]["/Marked"] is not None
    assert str(root["/MarkInfo"]["/Marked"]) == "True"
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] is not None


def test_every_text_and_stroke_is_content_or_decoration_and_never_both(reader):
    for page in reader.pages:
        for operator, depth in depths(page, reader):
            assert depth <= 1
            if operator in TEXT_OPERATORS | STROKES:
                assert depth == 1, operator


def test_every_marked_piece_leads_to_its_element(reader):
    nums = reader.trailer["/Root"]["/StructTreeRoot"]["/ParentTree"]["/Nums"]
    numbers = {key: nums[place + 1] for place, key in enumerate(nums) if not place % 2}

    for page in reader.pages:
        for mark, element in enumerate(numbers[page["/StructParents"]].get_object()):
            assert mark in element.get_object()["/K"]
            assert element.get_object()["/Pg"].get_object() == page


def test_a_link_is_a_part_of_its_sentence_and_says_where_it_leads(reader):
    links = [e for e in elements(reader) if e["/S"] == "/Link"]
    codes = {machine.code for machine in sample_content.report().machines}

    said = set()
    for link in links:
        for kid in link["/K"]:
            if not isinstance(kid, int):
                said.add(kid.get_object()["/Obj"]["/Contents"])

    assert codes <= said
    assert {link["/P"]["/S"] for link in links} >= {"/P"}


def test_headings_stand_one_level_below_what_they_stand_under(reader):
    report = sample_content.report()
    outlined = {"H1": report.masthead.title}

    levels = [e["/S"] for e in elements(reader) if e["/S"].startswith("/H")]

    assert levels.count("/H1") == len(outlined)
    assert {"/H2", "/H3", "/H4"} <= set(levels)


def test_a_table_over_pages_is_one_and_its_head_is_read_once():
    rows = tuple((f"no {n}", "words " * 20) for n in range(60))
    report = replace(
        sample_content.report(),
        criteria_sets=(),
        machines=(
            replace(
                sample_machines.undercut_machine(),
                checks=content.Table(
                    title="long",
                    columns=(
                        content.Column(heading="first of the head"),
                        content.Column(heading="second"),
                    ),
                    rows=rows,
                ),
            ),
        ),
    )

    drawn = opened.reader(document.draw(document=report))

    tables = [e for e in elements(drawn) if e["/S"] == "/Table"]
    long = [t for t in tables if len(t["/K"]) > 60]
    assert len(long) == 1
    heads = [r for r in long[0]["/K"] if r.get_object()["/K"][0]["/S"] == "/TH"]
    assert len(heads) == 1


def test_every_figure_has_the_words_of_its_record(reader):
    report = sample_content.report()
    said = [e["/Alt"] for e in elements(reader) if e["/S"] == "/Figure"]

    records = []
    # The owner's part shows a groove and a curve of each; the annex has the rest.
    for machine in report.machines:
        records += [*machine.groove_sections[:1], *machine.wear_curves[:1]]
    records.append(report.summary.strip)
    for machine in report.machines:
        records += [*machine.wear_curves[1:], *machine.groove_sections[1:]]
        records += [r for r in (machine.rim, machine.tensions) if r is not None]

    assert said == [spoken(record, report.wording) for record in records]


def test_a_figure_says_what_it_shows_and_not_only_what_it_is(reader):
    report = sample_content.report()
    said = " ".join(e["/Alt"] for e in elements(reader) if e["/S"] == "/Figure")

    machine = report.machines[0]
    for row in report.summary.strip.rows:
        assert f"{row.label}: {report.wording.of_grade(row.grade)}" in said
    for curve in machine.wear_curves:
        assert curve.limit.label in said
        assert curve.outlook in said
    for groove in machine.groove_sections:
        assert all(one.label in said for one in groove.dimensions)
    for bar in machine.tensions.bars:
        assert f"{bar.label}: {bar.value_label}" in said
    for metal in machine.rim.thicknesses:
        assert f"{metal.label}: {metal.value}" in said


def test_headings_come_in_order_and_tables_have_heads(reader):
    roles = [element["/S"] for element in elements(reader)]

    headings = [role for role in roles if role.startswith("/H")]
    assert headings[0] == "/H1"
    levels = [int(role[2:]) for role in headings]
    assert all(b - a <= 1 for a, b in pairwise(levels))
    assert roles.count("/Table") >= 6
    assert roles.count("/TH") > roles.count("/Table")
    assert roles.count("/TR") > roles.count("/Table")


def test_rows_stand_in_tables_and_cells_in_rows(reader):
    allowed = {"/TR": {"/Table"}, "/TD": {"/TR"}, "/TH": {"/TR"}}

    for element in elements(reader):
        if element["/S"] in allowed:
            assert element["/P"].get_object()["/S"] in allowed[element["/S"]]


def test_a_heading_is_read_before_what_it_heads(reader):
    roles = [element["/S"] for element in elements(reader)]

    after = [roles[i + 1] for i, role in enumerate(roles[:-1]) if role == "/H2"]

    assert "/H1" not in after


@pytest.mark.parametrize(
    "make",
    [
        sample_documents.field_sheet,
        sample_documents.portfolio_review,
        sample_documents.return_to_service,
        sample_documents.regroove_sheet,
        sample_documents.rope_order,
    ],
)
def test_the_other_documents_are_tagged_throughout(make):
    reader = opened.reader(document.draw(document=make()))

    for page in reader.pages:
        for operator, depth in depths(page, reader):
            assert depth == 1 or operator not in TEXT_OPERATORS | STROKES
