import re
from pathlib import Path

import pytest

from inspections.decisions import thresholds
from inspections.decisions.records import Stricter
from inspections.engineering.validity import OutsideValidity

DOCUMENT = (Path(__file__).parents[3] / "docs" / "decisions.md").read_text("utf-8")


def test_the_document_lists_every_threshold_with_default_range_and_source():
    rows = re.findall(
        r"^\| `(\w+)` \| ([\d.]+) \| ([\d.]+) to ([\d.]+) \| (\w+)[^|]* \| ([^|]+) \|$",
        DOCUMENT,
        re.MULTILINE,
    )

    assert [
        (row.name, row.default, row.low, row.high, row.safety, row.source)
        for row in thresholds.DEFAULTS.rows
    ] == [
        (name, float(default), float(low), float(high), safety == "yes", source)
        for name, default, low, high, safety, source in rows
    ]


def test_nothing_is_changed_unless_the_contractor_changes_it():
    assert thresholds.DEFAULTS.changed == ()
    assert thresholds.changed(changes={}) == thresholds.DEFAULTS


def test_a_change_is_marked_and_keeps_its_default():
    found = thresholds.changed(changes={"clean_up_mm": 2.0})

    (row,) = found.changed
    assert row.name == "clean_up_mm"
    assert row.is_changed
    assert (row.value, row.default) == (2.0, 1.6)
    assert found.value("clean_up_mm") == 2.0


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"colour": 1.0}, "colour"),
        ({"clean_up_mm": 0.1}, "clean_up_mm is 0.1; it must be from 0.5 to 6"),
        ({"clean_up_mm": float("nan")}, "clean_up_mm"),
        ({"diameter_ratio_least": 39.0}, "diameter_ratio_least is 39"),
        ({"chance_too_thin_most": 0.1}, "chance_too_thin_most is 0.1"),
        ({"margin_after_least": -0.1}, "margin_after_least is -0.1"),
        ({"shared_on_machine": 0.8, "shared_in_class": 0.3}, "at most 0.95 together"),
    ],
)
def test_a_change_out_of_range_or_laxer_is_refused(changes, words):
    with pytest.raises(OutsideValidity, match=words):
        thresholds.changed(changes=changes)


def test_no_range_of_a_safety_threshold_reaches_to_the_lax_side():
    for row in thresholds.DEFAULTS.rows:
        if row.safety:
            lax = row.low if row.stricter is Stricter.HIGHER else row.high
            assert lax == row.default


def test_a_safety_threshold_is_not_made_laxer_even_within_a_range():
    row = thresholds.DEFAULTS.row("diameter_ratio_least")
    given = {name: getattr(row, name) for name in row.__slots__}

    with pytest.raises(OutsideValidity, match="40 or higher"):
        type(row)(**given | {"low": 10.0, "value": 30.0})


def test_a_lower_is_stricter_threshold_is_not_raised_even_within_a_range():
    row = thresholds.DEFAULTS.row("chance_too_thin_most")
    given = {name: getattr(row, name) for name in row.__slots__}

    with pytest.raises(OutsideValidity, match="or lower"):
        type(row)(**given | {"high": 1.0, "value": 0.5})


def test_a_name_off_the_list_is_no_threshold():
    with pytest.raises(KeyError):
        thresholds.DEFAULTS.value("colour")
