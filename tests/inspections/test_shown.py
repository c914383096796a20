"""Values on pages: in the reader's units, with as many digits as mean something."""

from datetime import date

import pytest
from django.utils import translation

from fleet.platform.pages.preferences import Preferences
from inspections import wording
from inspections.models import Finding, Reading
from inspections.reasons import Quantity
from inspections.templatetags import shown, worked_shown
from inspections.worked import Number


def reader(family="INCH"):
    return {"preferences": Preferences(language="en", family=family)}


def reading(**fields):
    known = {"kind": "rope_diameter", "typed_unit": "mm", "word": ""}
    return Reading(**(known | fields))


@pytest.mark.parametrize(
    ("family", "typed", "unit", "value_mm", "said"),
    [
        ("METRIC", "12.93", "mm", 12.93, "12.93 mm"),
        ("INCH", "12.93", "mm", 12.93, "12.93 mm (0.509 in)"),
        ("INCH", "33/64", "in", 13.097, "33/64 in"),
        ("METRIC", "33/64", "in", 13.097, "33/64 in (13.1 mm)"),
    ],
)
def test_a_reading_stands_as_typed_and_in_the_readers_unit(
    family, typed, unit, value_mm, said
):
    row = reading(typed_value=typed, typed_unit=unit, value=value_mm)

    assert shown.as_read(reader(family), row) == said


def test_a_count_has_no_unit_and_a_word_is_said_as_a_word():
    wires = reading(
        kind="breaks_worst_strand", typed_value="2", typed_unit="1", value=2
    )
    seen = reading(kind="seen", typed_value="", typed_unit="", word="NO_DEFECT")

    assert shown.as_read(reader(), wires) == "2"
    assert shown.as_read(reader(), seen) == "no defect"


@pytest.mark.parametrize(
    ("value", "unit", "metric", "inch"),
    [
        (5.739, "MPa", "5.739 MPa", "832 psi"),
        # 1 lbf·ft is 1.3558 N·m, 1 lbf 4.4482 N.
        (1176.0, "N·m", "1176 N·m", "867 lbf·ft"),
        (40.0, "kN", "40 kN", "8992 lbf"),
        (18.0, "m", "18 m", "59.06 ft"),
        (2.74, "kg/m", "2.74 kg/m", "1.841 lb/ft"),
        (0.8462, "%", "0.846 %", "0.846 %"),
        (16560.0, "N", "16560 N", "3723 lbf"),
        (1.0, "wires", "1 wire", "1 wire"),
        (30.0, "wires", "30 wires", "30 wires"),
        (1234.0, "", "1234", "1234"),
    ],
)
def test_units_and_digits_are_those_of_documents(value, unit, metric, inch):
    assert shown.quantity(reader("METRIC"), value, unit) == metric
    assert shown.quantity(reader(), value, unit) == inch


def test_a_gauge_tells_a_hundredth_of_a_millimetre_in_inches_too():
    assert shown.fine(reader(), 0.01) == "0.0004 in"
    assert shown.fine(reader("METRIC"), 0.01) == "0.01 mm"


def test_a_number_of_a_calculation_stands_in_inches_beside():
    mass = Number(symbol="P", name="car", value=1200.0, unit="kg", origin="register")
    share = Number(symbol="q", name="balance", value=0.45, unit="", origin="register")

    assert worked_shown.beside(reader(), mass) == " (2646 lb)"
    assert worked_shown.beside(reader("METRIC"), mass) == ""
    assert worked_shown.beside(reader(), share) == ""
    words = wording.ReadersWords(family="INCH")
    assert words.beside(Quantity(value=0.5, unit="m/s²")) == "1.64 ft/s²"


def test_pairs_sources_and_rules_are_said_in_german():
    source = "common practice, no source; noise derived"
    finding = Finding(criterion="traction", rule="", source=source)

    with translation.override("de"):
        assert wording.place("groove 1 and 2, 3 and 4") == "Rille 1 und 2, 3 und 4"
        assert shown.document(finding).startswith("übliche Praxis, keine Quelle")
        assert shown.held_against(finding) == "Treibfähigkeit"
        assert shown.cited("") == ""
        assert wording.PageWords().day(date(2026, 11, 16)) == "16. Nov 2026"
    with translation.override("en"):
        assert wording.PageWords().day(date(2026, 11, 16)) == "16 Nov 2026"
        assert wording.ReadersWords().day(date(2026, 11, 16)) == "2026-11-16"
