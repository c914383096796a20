"""Only documented differences pass, and none that makes a machine look better."""

import pytest

from tests.earlier_year import comparing

OLD = {
    "grades": {"a-1": "IN_ORDER"},
    "findings": [
        ["a-1", "traction", "groove 1", "IN_ORDER", False, ""],
        ["a-1", "traction", "groove 2", "IN_ORDER", False, ""],
        ["a-1", "rope diameter", "rope 1", "PLAN_WORK", False, "thin"],
    ],
    "mails": 0,
}


def with_findings(*rows, grade="IN_ORDER"):
    return OLD | {"grades": {"a-1": grade}, "findings": [list(row) for row in rows]}


def compared(anew, upgraded=OLD):
    return comparing.compared(OLD, {"upgraded": upgraded, "anew": anew})


def test_what_is_told_of_several_places_together_is_the_same():
    together = ("a-1", "traction", "groove 1, 2", "IN_ORDER", False, "")

    found = compared(with_findings(together, OLD["findings"][2]))

    assert found["places_of_the_same_grade"] == found["places"] == 3
    assert found["unexpected"] == []
    assert found["documented"] == {}


def test_a_documented_difference_is_counted_under_its_reason():
    open_now = ("a-1", "traction", "groove 1, 2", "NOT_ASSESSED", False, "x")

    found = compared(with_findings(open_now, OLD["findings"][2], grade="NOT_ASSESSED"))

    assert found["unexpected"] == []
    assert sorted(found["documented"].values()) == [1, 2]


@pytest.mark.parametrize(
    "rows",
    [
        OLD["findings"][:2],
        [*OLD["findings"][:2], ["a-1", "rope diameter", "rope 1", "IN_ORDER", 0, ""]],
        [*OLD["findings"], ["a-1", "brake", "", "ACT_NOW", True, "slides"]],
    ],
    ids=["gone", "better", "of no documented topic"],
)
def test_any_other_difference_is_told(rows):
    assert len(compared(with_findings(*rows))["unexpected"]) == 1


def test_what_was_told_of_a_machine_may_be_told_by_places():
    whole = ["a-1", "traction", "", "NOT_ASSESSED", False, "x"]
    each = ["a-1", "traction", "groove 1, 2", "NOT_ASSESSED", False, "x"]
    old = OLD | {"findings": [whole]}
    new = OLD | {"findings": [each]}

    found = comparing.compared(old, {"upgraded": old, "anew": new})

    assert found["places_of_the_same_grade"] == found["places"] == 1
    assert found["unexpected"] == []
    gone = comparing.compared(old, {"upgraded": old, "anew": OLD | {"findings": []}})
    assert gone["unexpected"] == ["a-1, traction: NOT_ASSESSED -> -"]


def test_a_row_that_the_upgrade_changed_is_told():
    other = with_findings(*OLD["findings"][:2])

    assert compared(OLD, upgraded=other)["changed_by_upgrade"] == ["findings"]
