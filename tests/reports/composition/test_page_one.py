"""The minute's test: what page one alone says, and what of it must never be silent."""

from datetime import date
from types import SimpleNamespace as Row

import pytest
from django.utils import translation

from fleet.models import SheaveGeometry
from fleet.platform.choices import FieldSource
from inspections.decisions.records import Expected, OptionKind
from inspections.engineering.source import Certainty
from inspections.models import Finding, Grade
from reports import review
from reports.composition import (
    budget,
    description,
    portfolio,
    set_figures,
    standing,
    words,
)
from reports.composition.lines import AnswerLine, together
from reports.composition.reader import Reader
from tests.reports.orders import NOW

METRIC = Reader(family="METRIC", zone=NOW.tzinfo)
CLAUSE = "ASME A17.1, 2.20.3"


def machine(*findings):
    return Row(machine=Row(code="M-1"), findings=findings)


def finding(topic, grade, how_sure=Certainty.CONFIRMED, source=CLAUSE):
    return Finding(topic=topic, grade=grade, how_sure=str(how_sure), source=source)


@pytest.fixture(autouse=True)
def english():
    with translation.override("en"):
        yield


def test_a_deciding_limit_from_memory_makes_page_one_provisional():
    asking = finding("rope diameter", Grade.PLAN_WORK, Certainty.FROM_MEMORY)
    quiet = finding("traction", Grade.IN_ORDER)

    said = standing.provisional([machine(asking, quiet)])

    assert said.startswith("PROVISIONAL. ")
    assert "M-1 (Rope diameter)" in said


def test_a_limit_from_memory_that_decides_nothing_makes_nothing_provisional():
    asking = finding("rope diameter", Grade.PLAN_WORK)
    quiet = finding("traction", Grade.IN_ORDER, Certainty.FROM_MEMORY)

    assert standing.provisional([machine(asking, quiet)]) == ""


def test_where_nothing_asks_every_check_made_decides():
    quiet = finding("traction", Grade.IN_ORDER, Certainty.FROM_MEMORY)
    open_one = finding("rope diameter", Grade.NOT_ASSESSED, Certainty.FROM_MEMORY)

    assert "M-1 (Traction" in standing.provisional([machine(quiet, open_one)])
    assert standing.provisional([machine(open_one)]) == ""


def test_an_undercut_that_nobody_registered_is_no_undercut_of_0_degrees():
    geometry = SheaveGeometry(form="UNDERCUT", groove_angle_deg=30.0)

    said = description.groove(geometry, count=5, reader=METRIC)

    assert said == "undercut, angle not known, mouth 30°, 5 grooves"


@pytest.mark.parametrize(
    ("name", "value"), [("undercut_angle_deg", 95.0), ("groove_angle_deg", 30.0)]
)
def test_an_assumed_angle_is_marked_as_such(name, value):
    geometry = SheaveGeometry(
        form="UNDERCUT",
        undercut_angle_deg=95.0,
        groove_angle_deg=30.0,
        sources={name: FieldSource.ASSUMED},
    )

    said = description.groove(geometry, count=5, reader=METRIC)

    assert f"{value:g}° (assumed)" in said
    assert said.count("assumed") == 1


def test_a_fitting_day_that_is_assumed_is_marked_as_such():
    ropes = Row(
        ropes_count=5,
        nominal_diameter_mm=13.0,
        strand_class="8x19",
        fitted_on=NOW.date(),
        sources={"fitted_on": FieldSource.ASSUMED},
        get_core_display=lambda: "fibre core",
    )

    assert description.ropes(ropes, reader=METRIC).endswith(
        "fitted 1 Jun 2026 (assumed)"
    )


def test_the_same_said_of_several_machines_is_one_line():
    lines = [
        AnswerLine(text="a: one thing.", machines=("a",)),
        AnswerLine(text="b: another.", machines=("b",)),
        AnswerLine(text="c: one thing.", machines=("c",)),
        AnswerLine(text="no machine."),
    ]

    assert together(lines) == (
        AnswerLine(text="a, c: one thing.", machines=("a", "c")),
        AnswerLine(text="b: another.", machines=("b",)),
        AnswerLine(text="no machine."),
    )


def standing_of(grade):
    return review.MachineStanding(code="m", name="lift", grade=grade, first=None)


def test_the_reviews_headline_says_what_its_pages_say():
    grades = [Grade.PLAN_WORK, Grade.PLAN_WORK, Grade.IN_ORDER]

    said = portfolio._headline(
        0,
        [],
        [],
        [standing_of(grade) for grade in grades],
        [("m-2", date(2026, 4, 10)), ("m-3", date(2026, 5, 30))],
        today=date(2026, 6, 1),
    )

    assert said == (
        "3 machines: 2 plan work, 1 nothing found in the checks made. 2 days to order "
        "by have passed, the first (m-2) 52 days ago. 0 machines are overdue for "
        "measuring, 0 findings are open."
    )


@pytest.mark.parametrize(
    ("mean", "p90", "said"),
    [(0.02, 0.0, "–"), (0.3, 0.0, "0.3"), (0.8, 1.0, "0.8 (0–1)")],
)
def test_a_cell_of_the_budget_says_something_or_is_a_dash(mean, p90, said):
    expected = Expected(mean=mean, p10=0.0, p90=p90)
    quarter = Row(counts=((OptionKind.RE_ROPE, expected),))

    assert budget._count(quarter, (OptionKind.RE_ROPE,), reader=METRIC) == said


def test_a_step_of_what_was_seen_is_no_grade_of_a_wire():
    with translation.override("de"):
        german = Reader(family="METRIC", zone=NOW.tzinfo, language="de")
        assert german.quantity(2.0, "grade") == "Stufe 2"
    assert METRIC.quantity(2.0, "grade") == "grade 2"
    assert METRIC.quantity(-1.0, "grade", signed=True) == "−1"


def test_who_reads_inches_reads_no_megapascals():
    inch = Reader(family="INCH", zone=NOW.tzinfo)

    assert inch.quantity(7.373, "MPa") == "1069 psi"
    assert inch.quantity(1176.0, "N·m") == "867 lbf·ft"
    assert inch.quantity(2.873, "kg/m") == "1.931 lb/ft"
    assert inch.quantity(0.5, "m/s²") == "1.64 ft/s²"
    assert METRIC.quantity(7.373, "MPa") == "7.37 MPa"


@pytest.mark.parametrize(
    ("millimetres", "inches"),
    [(50.0, "1.97 in"), (3000.0, "118 in"), (8.73, "0.344 in")],
)
def test_a_bound_of_what_is_plausible_is_no_finer_than_it_is_meant(millimetres, inches):
    assert Reader(family="INCH", zone=NOW.tzinfo).about(millimetres) == inches


def test_what_is_provisional_of_many_machines_stays_a_box_on_page_one():
    topics = ("rope diameter", "traction", "broken wires", "rouge", "pressure")
    many = [
        Row(
            machine=Row(code=f"M-{number}"),
            findings=[
                finding(topic, Grade.PLAN_WORK, Certainty.FROM_MEMORY)
                for topic in topics[number % 5 :] + topics[: number % 5]
            ],
        )
        for number in range(60)
    ]

    said = standing.provisional(many)

    assert len(said) < 900
    assert "M-0, M-5, M-10, M-15, M-20, M-25 and 6 more" in said


@pytest.mark.parametrize(("minimum", "lines"), [(16.0, 2), (None, 0)])
def test_the_rims_figure_has_the_makers_least_line_where_it_is_known(minimum, lines):
    grooves = [
        {"number": n, "axial_mm": 20.0 * n, "nominal_mm": 20.0, "worst_mm": 18.0}
        for n in (1, 2)
    ]
    metal = {"grooves": grooves, "minimum_mm": minimum, "thinnest": 1}

    rim = set_figures.rim_section([Finding(detail={"metal": metal})], reader=METRIC)

    assert len(rim.least_line) == lines
    assert all(depth == -16.0 for _across, depth in rim.least_line)


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("no more thread left", "no more thread left"),
        ("slot \N{PILE OF POO} full\nof grease", "slot ? full of grease"),
        ("Łódź", "Łódź"),
        ("x" * 400, "x" * 300 + "..."),
    ],
)
def test_a_remark_never_keeps_a_document_from_being_made(typed, printed):
    assert words.as_entered(typed) == printed
