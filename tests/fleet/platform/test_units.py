"""Numbers as people type them, and the factors between units."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fleet.platform import units


@pytest.mark.parametrize(
    ("quantity", "unit", "canonical"),
    [
        # Exact by definition: the inch and pound (international agreement of 1959),
        # standard gravity 9.80665 m/s2 (3rd CGPM, 1901). Confirmed.
        ("length", "in", Fraction("25.4")),
        ("length", "ft", Fraction("304.8")),
        ("mass", "lb", Fraction("0.45359237")),
        ("force", "kgf", Fraction("9.80665")),
        ("force", "lbf", Fraction("4.4482216152605")),
        ("length", "m", Fraction(1000)),
        ("length", "cm", Fraction(10)),
        ("force", "kN", Fraction(1000)),
        ("ratio", "%", Fraction(1, 100)),
    ],
)
def test_a_factor_is_exact(quantity, unit, canonical):
    assert units.factor(quantity=quantity, unit=unit) == canonical


def test_feet_a_minute_are_right_to_the_last_bit_of_a_float():
    found = units.to_canonical(text="1", unit="ft/min", quantity="speed")

    assert found == 0.3048 / 60


def test_every_unit_code_leads_to_a_factor_above_nothing():
    for quantity in units.QUANTITIES.values():
        for unit in quantity.units:
            assert units.factor(quantity=quantity.name, unit=unit) > 0


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("11.8", Fraction(59, 5)),
        ("-0.3", Fraction(-3, 10)),
        ("+2", Fraction(2)),
        ("29/64", Fraction(29, 64)),
        ("1 3/16", Fraction(19, 16)),
        ("-1 3/16", Fraction(-19, 16)),
        ("007", Fraction(7)),
    ],
)
def test_what_people_write_is_read_exactly(text, number):
    assert units.read_number(text) == number


@pytest.mark.parametrize(
    "text",
    [
        "", " ", ".", "1.", ".5", "1,5", "1.234,5", "1 000", "1_000", "1e3", "0x10",
        "NaN", "inf", "−1", "½", "1½", "١٢", "１２", "1/2/3", "1/0", "1  3/16",
        "1 -3/16", "1 3 /16", " 1", "1 ", "1\n", "12.70 mm", '1/2"', "--1", "9**9",
        "1" * 10, "0." + "1" * 10,
    ],
)  # fmt: skip
def test_what_could_mean_two_things_is_not_a_number(text):
    with pytest.raises(units.UnreadableNumber):
        units.read_number(text)


@given(st.text(max_size=20))
@example("٣")
@example("1\u00a03/16")
def test_a_text_is_read_exactly_or_refused(text):
    try:
        found = units.read_number(text)
    except units.UnreadableNumber:
        return

    assert set(text) <= set("0123456789.+-/ ")
    assert abs(found) < 10**9


@given(st.decimals(min_value=-999_999, max_value=999_999, places=4, allow_nan=False))
def test_a_decimal_is_read_as_the_number_it_is(number: Decimal):
    assert units.read_number(f"{number:f}") == Fraction(number)


@given(
    whole=st.integers(0, 999_999),
    top=st.integers(0, 99_999),
    bottom=st.integers(1, 99_999),
)
def test_a_mixed_fraction_is_its_whole_and_its_part(whole, top, bottom):
    assert units.read_number(f"{whole} {top}/{bottom}") == whole + Fraction(top, bottom)


@given(
    text=st.decimals(0, 99_999, places=3).map(lambda d: f"{d:f}"),
    quantity=st.sampled_from(sorted(units.QUANTITIES)),
    data=st.data(),
)
def test_a_value_comes_back_in_the_unit_it_was_typed_in(text, quantity, data):
    unit = data.draw(st.sampled_from(sorted(units.QUANTITIES[quantity].units)))

    canonical = units.to_canonical(text=text, unit=unit, quantity=quantity)
    back = units.from_canonical(value=canonical, unit=unit, quantity=quantity)

    assert back == pytest.approx(float(text), rel=1e-12)


@given(
    number=st.one_of(
        st.decimals(-999_999, 999_999, places=9).map(lambda d: f"{d:f}"),
        st.tuples(
            st.integers(0, 99), st.integers(0, 99_999), st.integers(1, 99_999)
        ).map(lambda parts: "{} {}/{}".format(*parts)),
    ),
    quantity=st.sampled_from(sorted(units.QUANTITIES)),
    data=st.data(),
)
def test_a_value_is_rounded_once_at_the_very_end(number, quantity, data):
    unit = data.draw(st.sampled_from(sorted(units.QUANTITIES[quantity].units)))
    exact = units.read_number(number) * units.factor(quantity=quantity, unit=unit)

    found = units.to_canonical(text=number, unit=unit, quantity=quantity)

    assert found == float(exact)


def test_a_unit_of_another_measure_says_which_and_what_is_taken():
    with pytest.raises(units.WrongDimension, match=r"kg is a unit of mass.*mm, cm"):
        units.factor(quantity="length", unit="kg")


def test_an_unknown_unit_says_what_is_taken():
    with pytest.raises(units.UnknownUnit, match=r"'Mm'.*mm, cm, m, in, ft"):
        units.factor(quantity="length", unit="Mm")


@pytest.mark.parametrize(
    ("family", "quantity", "shown"),
    [
        ("METRIC", "length", "11.76 mm"),
        ("INCH", "length", "0.463 in"),
        ("INCH", "force", "2.64 lbf"),
        ("METRIC", "count", "11.76"),
    ],
)
def test_a_value_is_shown_in_the_readers_units(family, quantity, shown):
    assert units.show(value=11.7602, quantity=quantity, family=family) == shown
