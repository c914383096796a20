"""The traction sheet: worked out again from what is printed, and nothing else."""

import math

import pytest

from reports.composition import words
from tests.reports.composition.test_documents import composed, printed, squeezed
from tests.reports.orders import asked, made

pytestmark = pytest.mark.django_db

# What an inspector's pocket calculator knows.
KNOWN = {name: getattr(math, name) for name in ("exp", "sin", "cos", "sqrt")}
KNOWN |= {"ln": math.log, "lg": math.log10, "max": max}
SIGNS = {"·": "*", "−": "-", "^": "**", ";": ","}


# A case has the name that it has all over the document.
LOADING = words.case("LOADING")


def by_hand(text):
    for sign, other in SIGNS.items():
        text = text.replace(sign, other)
    return eval(text, {"__builtins__": {}}, dict(KNOWN))


def sheet_of(cast):
    return composed(cast, asked(cast)).machines[0].traction


def test_each_line_worked_by_hand_from_its_printed_numbers_gives_its_printed_result(
    measured,
):
    sheet = sheet_of(measured)

    lines = [row.value for part in sheet.worked for row in part.lines]
    assert len(lines) > 20
    for line in lines:
        put_in, result = line.split(" = ")[-2:]
        number = result.split()[0].replace("−", "-")
        assert float(f"{by_hand(put_in):.4g}") == float(number), line


def test_one_case_by_hand_from_masses_to_margin(measured):
    sheet = sheet_of(measured)
    put_in = {row[1]: float(row[2].split()[0]) for row in sheet.values.rows}
    case = next(part for part in sheet.worked if part.name.endswith(LOADING))
    row = next(row for row in sheet.cases.rows if row[0].endswith(LOADING))
    t1, t2 = (float(text) for text in row[1].split("\n"))
    asked_for, mu, ratio, degrees, held, margin = map(float, row[2:8])

    assert case.lines[0].label == "greater force in all ropes"
    heaviest = put_in["mass of the empty car"]
    heaviest += put_in[f"load in the car (case {row[0].split()[0]})"]
    assert t1 > heaviest * 9.81 * 0.9
    assert asked_for == pytest.approx(t1 / t2, rel=5e-4)
    exponent = mu * ratio * math.radians(degrees)
    assert held == pytest.approx(math.exp(exponent), rel=1e-3)
    assert margin == pytest.approx(1 - math.log(asked_for) / exponent, abs=1e-3)


def test_the_sheet_has_every_load_case_with_both_ends_of_what_is_open(measured):
    sheet = sheet_of(measured)

    names = [row[0] for row in sheet.cases.rows]
    assert names == [part.name for part in sheet.worked]
    cases = ("LOADING", "BRAKING_FULL", "BRAKING_EMPTY")
    assert {words.case(code) for code in cases} <= {n.split(" ", 1)[1] for n in names}
    assert [name.split()[0] for name in names] == [
        str(number) for number in range(1, len(names) + 1)
    ]
    for row in sheet.cases.rows:
        margin = float(row[7].replace("−", "-"))
        low, high = (float(end.replace("−", "-")) for end in row[8].split(" … "))
        assert low <= margin <= high
        assert low < high


def test_the_sheet_says_clause_edition_and_standing_and_what_is_assumed(measured):
    sheet = sheet_of(measured)

    about = {row.label: row.value for row in sheet.about}
    assert "EN 81-50:2014 5.11.2" in about["Calculated by"]
    assert "from memory" in about["Calculated by"]
    assert " to " in about["What is open"]
    assert {row[3].split(",")[0] for row in sheet.values.rows} >= {"register", "rules"}


def test_a_sign_of_several_values_says_where_each_stands(measured):
    sheet = sheet_of(measured)
    rows = sheet.values.rows

    signs = [row[0] for row in rows]
    loads = {row[1]: row[2] for row in rows if row[0] == "Q"}
    numbers = [row[0].split()[0] for row in sheet.cases.rows if LOADING in row[0]]
    assert f"load in the car (case {numbers[0]})" in loads
    assert len(loads) > 1
    assert all(row[1].endswith(")") for row in rows if signs.count(row[0]) > 1)


def test_what_no_line_works_out_stands_among_what_is_put_in(measured):
    sheet = sheet_of(measured)

    given = {row[0] for row in sheet.values.rows}
    results = {row.value.split(" = ")[0] for part in sheet.worked for row in part.lines}
    text = " ".join(row.value for part in sheet.worked for row in part.lines)
    for arc in ("θ₁", "θ₂"):
        assert arc in text
        assert arc in given - results


def test_who_reads_inches_has_a_worked_pressure_in_both_units(measured):
    report = asked(measured, unit_family="INCH")

    lines = [
        row.value
        for part in composed(measured, report).machines[0].worked
        for row in part.lines
    ]

    assert [line for line in lines if " MPa" in line]
    assert all(" psi)" in line for line in lines if line.endswith(" MPa"))
    assert any(line.endswith(" psi)") for line in lines)


def test_the_sheet_is_printed_whole(measured):
    report = made(measured)

    text = printed(report)

    sheet = composed(measured, report).machines[0].traction
    for part in sheet.worked:
        for row in part.lines:
            assert squeezed(row.value) in text
