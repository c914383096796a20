from math import nan

import pytest

from inspections.engineering.source import Certainty, Source
from inspections.engineering.tables import (
    PrintedTable,
    bending,
    exact,
    interpolate,
    rows,
    speed_factors,
)
from inspections.engineering.tables.ropes import FACTORS, Construction
from inspections.engineering.validity import OutsideValidity

PRINTED = Source(document="a table", edition="2001", certainty=Certainty.CONFIRMED)


def test_source_text_says_document_edition_clause_and_certainty():
    full = Source(
        document="EN 81-50",
        edition="2014",
        clause="5.12",
        certainty=Certainty.FROM_MEMORY,
    )
    short = Source(document="practice", certainty=Certainty.COMMON_PRACTICE)

    assert full.text == "EN 81-50:2014, 5.12 (from memory, to be confirmed)"
    assert short.text == "practice (common practice, no source)"


def test_rows_come_in_rising_order():
    found = rows(source=PRINTED, values={2.0: 20.0, 1.0: 10.0})

    assert [row.at for row in found] == [1.0, 2.0]


@pytest.mark.parametrize(("at", "value"), [(1.0, 10.0), (1.25, 12.5), (2.0, 20.0)])
def test_interpolation_is_straight_between_rows(at, value):
    table = PrintedTable(argument="x", rows=rows(source=PRINTED, values={1: 10, 2: 20}))

    assert interpolate(table=table, at=at) == pytest.approx(value)


@pytest.mark.parametrize("at", [0.9, 2.1, nan])
def test_interpolation_refuses_what_the_table_does_not_reach(at):
    table = PrintedTable(argument="x", rows=rows(source=PRINTED, values={1: 10, 2: 20}))

    with pytest.raises(OutsideValidity, match="x is"):
        interpolate(table=table, at=at)


def test_exact_refuses_a_row_that_is_not_printed():
    with pytest.raises(OutsideValidity, match="rope_speed_ft_min is 510"):
        exact(table=speed_factors.PASSENGER, at=510.0)


@pytest.mark.parametrize(
    "table",
    [
        bending.UNDERCUT,
        bending.V_1998,
        bending.V_2014,
        bending.UNDERCUT_LIFE,
        bending.V_LIFE,
        bending.SEAT_RADIUS_LIFE,
        speed_factors.PASSENGER,
        speed_factors.FREIGHT,
    ],
)
def test_every_table_rises_in_its_argument_and_every_row_has_a_source(table):
    arguments = [row.at for row in table.rows]

    assert arguments == sorted(set(arguments))
    assert all(row.source.document for row in table.rows)


def test_every_construction_has_factors():
    assert set(FACTORS) == set(Construction)
