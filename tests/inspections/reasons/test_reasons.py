"""A reason goes out as JSON and comes back, whatever version wrote it."""

import json

import pytest

from inspections.engineering.validity import OutsideValidity, require_positive
from inspections.inputs import Missing
from inspections.reasons import (
    Code,
    Quantity,
    Reason,
    Term,
    UnknownCode,
    as_json,
    because,
    from_json,
    missing,
    note,
)
from tests.every_row import of_each
from tests.inspections.reasons.examples import an_example


def there_and_back(reason):
    return from_json(json.loads(json.dumps(as_json(reason), allow_nan=False)))


@of_each("code", Code)
def test_a_reason_of_every_code_comes_back_as_it_was(code):
    reason = an_example(code).with_also(missing(Term.HARDNESS))

    assert there_and_back(reason) == reason
    assert hash(there_and_back(reason)) == hash(reason)


def test_a_number_that_is_none_comes_back_too():
    reason = because(
        Code.OUTSIDE_VALIDITY,
        name="cases",
        value=float("nan"),
        rule=because(Code.RULE_ONE_CASE),
    )

    assert str(there_and_back(reason)) == "cases is nan; it must be one case or more"


def test_a_code_of_a_newer_version_is_kept_and_said_to_be_unknown():
    said = {
        "code": "of_tomorrow",
        "values": {
            "depth": {"value": 1.5, "unit": "mm"},
            "what": {"term": "of_tomorrow_too"},
            "shape": {"form": "V", "angle": 35},
            "why": {"code": "also_new", "values": {}},
        },
        "also": [{"code": "missing", "values": {"items": [{"term": "hardness"}]}}],
    }

    reason = from_json(said)

    assert reason.code == UnknownCode("of_tomorrow")
    assert as_json(reason) == said
    assert str(reason) == (
        "a reason this version does not know: of_tomorrow; missing: hardness"
    )


def test_a_known_code_with_other_values_is_neither_dropped_nor_a_crash():
    said = {"code": "beyond_limit", "values": {"value": {"value": 3.0, "unit": "mm"}}}

    assert str(from_json(said)) == "? 3 mm, beyond the limit (? ?)"
    assert as_json(from_json(said)) == said


@pytest.mark.parametrize("said", [None, "", {}, [], {"code": 3}])
def test_what_is_no_reason_is_none(said):
    assert from_json(said) is None


def test_values_that_a_code_does_not_take_are_refused():
    with pytest.raises(TypeError, match="takes"):
        because(Code.CRACK_FOUND, where="groove 1")
    with pytest.raises(TypeError, match="quantity"):
        because(Code.CREEP_NORMAL, creep=3.0)


def test_every_term_inside_is_found():
    inner = because(Code.CRITERION_OPEN, criterion=Term.LAY, why=missing(Term.TRAVEL))
    reason = note("so").with_also(inner)

    assert set(reason.terms()) == {Term.LAY, Term.TRAVEL}


def test_what_is_added_twice_is_said_once():
    once = missing(Term.TRAVEL).with_also(note("so"))

    assert once.with_also(note("so")) == once


def test_one_is_said_as_one():
    due = an_example(Code.GAUGE_OVERDUE).get("due_on")
    one = because(Code.GAUGE_OVERDUE, count=1, due_on=due)
    two = because(Code.GAUGE_OVERDUE, count=2, due_on=due)

    assert str(one).startswith("1 reading was taken")
    assert str(two).startswith("2 readings were taken")


def test_digits_are_four_and_never_an_exponent_for_large_numbers():
    def said(value):
        return str(because(Code.PRESSURE_AS_WORN, pressure=Quantity(value, "MPa")))

    assert said(1.2345) == "1.23 MPa in the deepest seat as worn"
    large = because(
        Code.CRITERION_OPEN,
        criterion=Term.TRAVEL,
        why=because(
            Code.BEYOND_LIMIT,
            criterion=Term.TRAVEL,
            value=Quantity(123456.0, "mm"),
            bound=Term.AT_MOST,
            limit=Quantity(0.00012, "-"),
        ),
    )
    assert "123456 mm" in str(large)
    assert "0.00012)" in str(large)


def test_errors_carry_their_reason():
    with pytest.raises(OutsideValidity) as raised:
        require_positive(wrap_angle_rad=-0.2)

    assert raised.value.reason.get("rule") == because(Code.RULE_POSITIVE)
    assert str(raised.value) == "wrap_angle_rad is -0.2; it must be positive"
    assert str(Missing(Term.CAR_MASS, Term.TRAVEL)) == "missing: car mass, travel"


def test_equal_reasons_are_equal_in_any_order_of_values():
    one = because(Code.TOO_FEW_ROPES, ropes=2, set="A", least=3)
    other = because(Code.TOO_FEW_ROPES, least=3, set="A", ropes=2)

    assert one == other
    assert isinstance(one, Reason)
