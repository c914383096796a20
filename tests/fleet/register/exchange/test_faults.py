"""Files as offices really send them: every fault said, at its row and column."""

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.models import Machine, Owner, RopeInGroove, RopeSet, Sheave
from fleet.register.exchange import dialect as dialects
from fleet.register.exchange import importing, measures, neutral, numbers
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.problems import (
    CellRefused,
    NotATable,
    TooManyRows,
    UnknownFormat,
)
from fleet.register.exchange.register import RESOURCES
from tests import callers
from tests.fleet.register.exchange import files
from tests.fleet.register.exchange.files import bring_in, said

MACHINES = "building,code,name,drive_kind,car_mass_kg\n"


@pytest.fixture
def scope(north):
    callers.confine(north)
    return north.scope()


# --- formats (faults 18 and 26) -------------------------------------------------------
@pytest.mark.parametrize("encoding", ["utf-16", "utf_16_le", "UTF-16-BE"])
def test_utf_16_is_refused_with_the_reason(encoding):
    with pytest.raises(UnknownFormat, match="save the file as UTF-8"):
        dialects.declared(encoding=encoding)


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        ("code,name\n".encode("utf-16"), "mark of UTF-16"),
        ("code,name\n".encode("utf-16-le"), "NUL bytes"),
        ("code,name\n".encode("utf-8-sig"), "declare encoding utf-8-sig"),
        (b"PK\x03\x04rest", "save it as CSV"),
        ("code,name\nx,ä\n".encode("cp1252"), "line 2 holds byte 0xe4"),
        (b"", "empty"),
        (b'code,name\n"x,y\n', "near line"),
        (b"code;name\nx;y\n", "declare delimiter semicolon"),
    ],
)
def test_a_file_that_is_not_as_declared_is_refused_with_the_reason(content, reason):
    # Fault 26.
    with pytest.raises(NotATable, match=reason):
        importing._bring_in(
            scope=None,
            file=importing.File(resource=RESOURCES["owners"], content=content),
            dialect=Dialect(),
            most=10,
            tell=lambda done, parts: None,
        )


@pytest.mark.parametrize(
    "given_words",
    [
        {"delimiter": ","},
        {"decimal_mark": "."},
        {"encoding": "latin-1"},
        {"dates": "D/M/Y"},
        {"delimiter": "comma", "decimal_mark": "comma"},
    ],
)
def test_a_format_outside_the_list_is_refused(given_words):
    with pytest.raises(UnknownFormat):
        dialects.declared(**given_words)


@pytest.mark.django_db
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_a_european_file_is_read_as_declared(scope, encoding, line_end):
    # Faults 18 and 26: BOM, CRLF, semicolon, decimal comma.
    lines = [
        "building;code;name;drive_kind;car_mass_kg;installed_on",
        'mill-house;MH-2;"Mühle; zweiter Aufzug";GEARED;1150,5;3.4.2019',
    ]

    outcome = bring_in(
        scope,
        "machines",
        line_end.join(lines),
        delimiter=";",
        decimal_mark=",",
        encoding=encoding,
        dates="DD.MM.YYYY",
    )

    machine = Machine.objects.get(code="MH-2")
    assert outcome.errors == ()
    assert machine.name == "Mühle; zweiter Aufzug"
    assert machine.car_mass_kg == 1150.5
    assert machine.installed_on == date(2019, 4, 3)


@pytest.mark.parametrize(
    ("dates", "text", "day"),
    [
        ("DD/MM/YYYY", "04/03/2019", date(2019, 3, 4)),
        ("MM/DD/YYYY", "04/03/2019", date(2019, 4, 3)),
        ("YYYY-MM-DD", "2019-04-03", date(2019, 4, 3)),
    ],
)
def test_a_date_means_what_is_declared(dates, text, day):
    assert dialects.read_date(text=text, dialect=Dialect(dates=dates)) == day


@pytest.mark.parametrize(
    "text", ["31/02/2019", "2019-01-01", "1/1/19", "1/1/1066", "١/١/2019", "43191", ""]
)
def test_what_is_no_day_of_the_declared_form_is_refused(text):
    with pytest.raises(CellRefused):
        dialects.read_date(text=text, dialect=Dialect(dates="DD/MM/YYYY"))


@given(st.dates(date(1850, 1, 1), date(2200, 12, 31)))
def test_any_day_reads_back_in_every_form(day):
    forms = {
        "YYYY-MM-DD": "%Y-%m-%d",
        "DD.MM.YYYY": "%d.%m.%Y",
        "DD/MM/YYYY": "%d/%m/%Y",
        "MM/DD/YYYY": "%m/%d/%Y",
    }
    assert set(forms) == set(dialects.DATES)
    for dates, form in forms.items():
        text = day.strftime(form)
        assert dialects.read_date(text=text, dialect=Dialect(dates=dates)) == day


# --- numbers (faults 16, 18 and 19) ---------------------------------------------------
@pytest.mark.parametrize(
    "text",
    [
        "NaN",
        "Infinity",
        "1e400",
        "1e3",
        "1_000",
        "true",
        "１２",
        "١٢",
        "1.234,5",
        "1,5",
    ],
)
def test_what_is_no_plain_number_is_refused(text):
    with pytest.raises(CellRefused):
        numbers.read_number(text=text, dialect=Dialect())


@pytest.mark.parametrize("text", ["1.5", "1.234,5", "1,234,5", "1'234", "1 234"])
def test_a_thousands_mark_is_refused_with_a_decimal_comma_too(text):
    with pytest.raises(CellRefused, match="decimal mark is the comma"):
        numbers.read_number(text=text, dialect=Dialect(decimal_mark=","))


@given(
    st.floats(allow_nan=False, allow_infinity=False, min_value=-1e12, max_value=1e12)
)
def test_any_number_reads_back_with_either_decimal_mark(number):
    text = numbers.write_number(number)

    assert float(numbers.read_number(text=text, dialect=Dialect())) == number
    comma = Dialect(delimiter=";", decimal_mark=",")
    assert float(numbers.read_number(text=text.replace(".", ","), dialect=comma)) == (
        number
    )


@pytest.mark.parametrize(
    ("field", "unit", "factor"),
    [
        # NIST SP 811 (2008), appendix B.8; exact there (from memory).
        ("nominal_diameter_mm", "in", Fraction("25.4")),
        ("travel_m", "ft", Fraction("0.3048")),
        ("car_mass_kg", "lb", Fraction("0.45359237")),
        ("rated_speed_m_s", "ft/min", Fraction("0.00508")),
        ("metallic_area_mm2", "in2", Fraction("645.16")),
        ("braking_deceleration_m_s2", "ft/s2", Fraction("0.3048")),
        ("mass_kg_m", "lb/ft", Fraction("0.45359237") / Fraction("0.3048")),
        ("breaking_force_kn", "lbf", Fraction("0.0044482216152605")),
        ("modulus_mpa", "ksi", Fraction("4448.2216152605") / Fraction("645.16")),
        ("balance_ratio", "%", Fraction(1, 100)),
    ],
)
def test_units_are_worth_what_the_tables_say(field, unit, factor):
    measure = measures.split(field)[1]

    assert measure.factors[unit] == factor


@given(st.text())
def test_defusing_any_text_can_be_undone(text):
    # Fault 53.
    cell = neutral.neutralise(text)

    assert neutral.restore(cell) == text
    assert not cell or cell[0] not in "=+-@\t\r\0|"


# --- headers (faults 17 and 38) -------------------------------------------------------
@pytest.mark.django_db
def test_everything_wrong_with_a_header_is_said_at_once(scope):
    # Fault 17: units missing, unknown, of another measure; fault 38: the server's own.
    header = (
        "building,code,name,drive_kind,car_mass,rated_load [stone],travel [kg],"
        "rated_speed_m_s [m/s],contractor,version,nmae,code,balance_ratio [%]"
    )

    outcome = bring_in(scope, "machines", header + "\n")

    assert said(outcome) == [
        (1, "car_mass", "unit-missing"),
        (1, "code", "column-twice"),
        (1, "contractor", "read-only"),
        (1, "nmae", "unknown-column"),
        (1, "rated_load [stone]", "unknown-unit"),
        (1, "rated_speed_m_s [m/s]", "unit-not-taken"),
        (1, "travel [kg]", "unknown-unit"),
        (1, "version", "read-only"),
    ]
    details = {error.column: error.detail for error in outcome.errors}
    assert details["car_mass"] == (
        "it names no unit; write car_mass_kg or car_mass [kg, lb]"
    )
    assert details["nmae"].endswith("is name meant?")
    assert "use kg, lb" in details["rated_load [stone]"]


@pytest.mark.django_db
def test_a_file_without_its_key_is_refused(scope):
    outcome = bring_in(scope, "grooves", "machine,number\nMH-1,6\n")

    assert said(outcome) == [(1, "sheave_fitted_on", "column-missing")]


@pytest.mark.django_db
def test_inches_and_pounds_are_stored_in_canonical_units(scope):
    bring_in(scope, "machines", "code,car_mass [lb],travel [ft]\nMH-1,2650 1/2,98\n")

    machine = Machine.objects.get(code="MH-1")
    assert machine.car_mass_kg == pytest.approx(2650.5 * 0.45359237)
    assert machine.travel_m == pytest.approx(29.8704)


# --- rows ---------------------------------------------------------------------------
@pytest.mark.django_db
def test_all_faults_of_all_rows_are_said_and_nothing_is_stored(scope):
    # Faults 16 and 18.
    before = list(Machine.objects.order_by("pk").values())
    text = (
        "building,code,name,drive_kind,car_mass [lb],wrap_angle_deg,sources\n"
        "mill-house,MH-2,Good,GEARED,2500,170,car_mass_kg=PLATE\n"
        "mill-house,MH 3,,GEARD,NaN,170,\n"
        "mill-house,MH-4,Angle,GEARED,-5,900,car_mass_kg=GUESSED\n"
        "nowhere,MH-5,Lost,GEARED,2500,170,\n"
        "mill-house,MH-2,Again,GEARED,2500,170,\n"
        "mill-house,MH-6,short\n"
    )

    outcome = bring_in(scope, "machines", text)

    assert said(outcome) == [
        (3, "car_mass [lb]", "unreadable-number"),
        (3, "code", "invalid"),
        (3, "drive_kind", "invalid"),
        (3, "name", "missing"),
        (4, "sources", "invalid"),
        (5, "building", "refers-to-nothing"),
        (6, "", "repeated"),
        (7, "", "ragged"),
    ]
    assert not outcome.stored
    assert list(Machine.objects.order_by("pk").values()) == before


@pytest.mark.django_db
def test_what_the_database_would_check_is_said_at_its_column_in_words(scope):
    text = MACHINES.strip() + (
        ",wrap_angle_deg,roping_ratio\nmill-house,MH-2,M,GEARED,-5,900,9\n"
    )

    outcome = bring_in(scope, "machines", text)

    assert [(error.column, error.detail) for error in outcome.errors] == [
        ("car_mass_kg", "-5.0 is out of range: it must be above 0 and below 1e+12"),
        ("roping_ratio", "9 is out of range: it must be at most 8"),
        (
            "wrap_angle_deg",
            "900.0 is out of range: it must be at least 60 and at most 480",
        ),
    ]


@pytest.mark.django_db
def test_parts_that_overlap_in_time_are_each_said(scope):
    text = "machine,fitted_on\nMH-1,2024-01-01\nQC-1,2010-01-01\nQC-1,2025-06-01\n"

    outcome = bring_in(scope, "sheaves", text)

    assert [error.row for error in outcome.errors] == [2, 3, 4]
    assert all("another sheave is fitted" in e.detail for e in outcome.errors)
    assert Sheave.objects.count() == 2


@pytest.mark.django_db
def test_a_part_is_retired_and_followed_in_one_file(scope):
    text = (
        "machine,sheave_fitted_on,fitted_on,retired_on,ropes_count,nominal_diameter_mm\n"
        "MH-1,2020-01-15,2024-05-06,,5,13\n"
        "MH-1,2020-01-15,2020-01-15,2024-05-06,5,13\n"
    )

    outcome = bring_in(scope, "rope-sets", text)

    assert outcome.errors == ()
    assert (outcome.created, outcome.changed) == (1, 1)
    periods = RopeSet.objects.filter(machine__code="MH-1").values_list(
        "fitted_on", "retired_on"
    )
    assert set(periods) == {
        (date(2020, 1, 15), date(2024, 5, 6)),
        (date(2024, 5, 6), None),
    }


@pytest.mark.django_db
def test_a_new_row_needs_what_an_old_one_has(scope):
    outcome = bring_in(scope, "machines", "code,car_mass_kg\nMH-1,1300\nMH-9,1300\n")

    assert said(outcome) == [
        (3, "building", "column-missing"),
        (3, "drive_kind", "column-missing"),
        (3, "name", "column-missing"),
    ]


@pytest.mark.django_db
def test_a_dry_run_says_what_would_change_and_stores_nothing(scope):
    text = MACHINES + "quay-court,MH-1,Moved,GEARED,1300\nmill-house,MH-2,New,GEARED,\n"

    outcome = bring_in(scope, "machines", text, dry_run=True)

    assert (outcome.created, outcome.changed, outcome.stored) == (1, 1, False)
    moved, new = outcome.changes
    assert moved.fields == {
        "building": ("mill-house", "quay-court"),
        "car_mass_kg": ("1200", "1300"),
        "name": ("Mill House, lift 1", "Moved"),
    }
    assert (new.row, new.name, new.is_new) == (3, "MH-2", True)
    assert Machine.objects.get(code="MH-1").car_mass_kg == 1200
    assert not Machine.objects.filter(code="MH-2").exists()


@pytest.mark.django_db
def test_a_change_makes_a_new_version_and_leaves_other_columns_alone(scope):
    bring_in(scope, "machines", "code,car_mass_kg\nMH-1,1300\n")

    machine = Machine.objects.get(code="MH-1")
    assert machine.version == 2
    assert machine.car_mass_kg == 1300
    assert machine.rated_load_kg == 1000


@pytest.mark.django_db
def test_an_empty_cell_empties_a_value(scope):
    bring_in(scope, "machines", "code,car_mass_kg\nMH-1,\n")

    assert Machine.objects.get(code="MH-1").car_mass_kg is None


@pytest.mark.django_db
def test_a_rope_can_be_moved_to_another_groove_but_not_out_of_all(scope):
    header = "machine,sheave_fitted_on,rope_set_fitted_on,number,groove\n"
    row = "MH-1,2020-01-15,2020-01-15,1,"

    moved = bring_in(scope, "ropes", f"{header}{row}2\n")
    emptied = bring_in(scope, "ropes", f"{header}{row}\n")
    nowhere = bring_in(scope, "ropes", f"{header}{row}9\n")

    assert moved.changes[0].fields == {"groove": ("1", "2")}
    assert said(emptied) == [(2, "groove", "missing")]
    assert said(nowhere) == [(2, "groove", "refers-to-nothing")]


@pytest.mark.django_db
def test_a_rope_does_not_run_in_one_groove_twice(scope):
    text = (
        "machine,sheave_fitted_on,rope_set_fitted_on,number,groove,second_groove\n"
        "MH-1,2020-01-15,2020-01-15,1,1,2\n"
        "MH-1,2020-01-15,2020-01-15,2,2,2\n"
    )

    outcome = bring_in(scope, "ropes", text)

    assert said(outcome) == [
        (2, "second_groove", "conflict"),
        (3, "second_groove", "conflict"),
    ]
    assert "another rope of this set" in outcome.errors[0].detail
    assert "on its other pass" in outcome.errors[1].detail


_ROPES = "machine,sheave_fitted_on,rope_set_fitted_on,number,groove"


@pytest.mark.django_db
@pytest.mark.parametrize(
    "grooves", [("2", "1"), ("2", "3", "1"), ("5", "4", "3", "2", "1")]
)
def test_ropes_swap_their_grooves_in_one_file(scope, grooves):
    rows = "".join(
        f"MH-1,2020-01-15,2020-01-15,{n},{groove}\n"
        for n, groove in enumerate(grooves, 1)
    )

    outcome = bring_in(scope, "ropes", f"{_ROPES}\n{rows}")

    assert said(outcome) == []
    stored = RopeInGroove.objects.filter(rope__rope_set__machine__code="MH-1")
    found = dict(stored.values_list("rope__number", "groove__number"))
    assert [str(found[n]) for n in range(1, len(grooves) + 1)] == list(grooves)
    assert bring_in(scope, "ropes", f"{_ROPES}\n{rows}").changed == 0


@pytest.mark.django_db
def test_a_rope_in_double_wrap_swaps_its_two_grooves_in_one_file(scope):
    text = (
        f"{_ROPES},second_groove\n"
        "MH-1,2020-01-15,2020-01-15,1,1,6\nMH-1,2020-01-15,2020-01-15,2,2,7\n"
    )
    grooves = "machine,sheave_fitted_on,number\n" + "".join(
        f"MH-1,2020-01-15,{n}\n" for n in (6, 7)
    )
    assert bring_in(scope, "grooves", grooves).errors == ()
    assert bring_in(scope, "ropes", text).errors == ()

    swapped = bring_in(scope, "ropes", text.replace("1,1,6", "1,6,1"))
    crossed = bring_in(
        scope, "ropes", text.replace("1,1,6", "1,2,7").replace("2,2,7", "2,6,1")
    )

    assert (said(swapped), said(crossed)) == ([], [])
    stored = RopeInGroove.objects.filter(rope__rope_set__machine__code="MH-1")
    found = {
        (seat.rope.number, seat.pass_number): seat.groove.number
        for seat in stored.select_related("rope", "groove")
    }
    assert (found[1, 1], found[1, 2], found[2, 1], found[2, 2]) == (2, 7, 6, 1)


@pytest.mark.django_db
def test_a_swap_stands_although_another_set_cannot_move(scope):
    rows = (
        "MH-1,2020-01-15,2020-01-15,1,2\nMH-1,2020-01-15,2020-01-15,2,1\n"
        "QC-1,2020-01-15,2020-01-15,1,2\n"
    )

    outcome = bring_in(scope, "ropes", f"{_ROPES}\n{rows}")

    # All or nothing still; but only the fault is told.
    assert said(outcome) == [(4, "groove", "conflict")]
    assert not outcome.stored


@pytest.mark.django_db
def test_a_work_names_a_rope_set_wholly_or_not_at_all(scope):
    half = bring_in(
        scope,
        "works",
        "machine,kind,done_on,rope_set_fitted_on\nMH-1,ROPING,2020-1-15,\n",
    )
    header = "machine,kind,done_on,rope_set_sheave_fitted_on,rope_set_fitted_on\n"
    empty = bring_in(scope, "works", header + "MH-1,ROPING,2020-01-15,,\n")
    wrong = bring_in(scope, "works", header + "MH-1,ROPING,2020-01-16,,2020-01-15\n")

    assert said(half) == [(1, "rope_set_sheave_fitted_on", "column-missing")]
    assert empty.errors == ()
    assert said(wrong) == [(2, "rope_set_fitted_on", "refers-to-nothing")]


@pytest.mark.django_db
def test_another_contractors_rows_are_neither_changed_nor_pointed_at(north, south):
    callers.confine(south)
    Owner.objects.create(contractor=south.contractor, code="theirs", name="Theirs")
    scope = north.scope()

    pointed = bring_in(
        scope,
        "buildings",
        "owner,code,name,time_zone,criteria_set\ntheirs,b,B,UTC,EN_81_20\n",
    )
    same_code = bring_in(scope, "owners", "code,name\ntheirs,Ours\n")

    assert said(pointed) == [(2, "owner", "refers-to-nothing")]
    assert same_code.created == 1
    callers.confine(south)
    assert Owner.objects.get(code="theirs").name == "Theirs"


@pytest.mark.django_db
def test_more_rows_than_are_taken_are_refused(scope):
    file = importing.File(
        resource=RESOURCES["owners"], content=b"code,name\na,A\n\nb,B\n"
    )
    how = {"scope": scope, "files": [file], "dialect": Dialect(), "dry_run": True}

    assert importing.bring_in(**how, most=2)[0].created == 2
    with pytest.raises(TooManyRows):
        importing.bring_in(**how, most=1)


@pytest.mark.django_db
def test_one_bad_row_in_one_file_keeps_all_files_out():
    scope = files.empty_scope()

    outcomes = files.bring_all_in(
        scope,
        {
            "owners": b"code,name\no,Owner\n",
            "buildings": b"owner,code,name,time_zone,criteria_set\no,b,B,Mars,EN\n",
        },
    )

    assert said(outcomes[1]) == [
        (2, "criteria_set", "unknown-criteria"),
        (2, "time_zone", "unknown-zone"),
    ]
    assert not any(outcome.stored for outcome in outcomes)
    assert not Owner.objects.within(scope).exists()
