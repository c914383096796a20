"""Holding is one-sided, kind by kind."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspections.intake.judge import HELD_BACK, MEASURE_AGAIN, NOT_CHECKED, judge
from inspections.kinds import KINDS
from inspections.models import ReadingState

NUMBERED = sorted(code for code, kind in KINDS.items() if kind.quantity)


def state(code, value, diameter=13.0):
    found = judge(kind=KINDS[code], value=value, word="", rope_diameter_mm=diameter)
    return found.state


@pytest.mark.parametrize(
    ("code", "value", "expected"),
    [
        # Bands for a 13 mm rope; common practice, no source.
        ("rope_crown_height", -13.0, ReadingState.UNCONFIRMED),
        ("rope_crown_height", -12.9, ReadingState.STORED),
        ("rope_crown_height", 13.1, ReadingState.HELD),
        ("bottom_clearance", 0.5, ReadingState.UNCONFIRMED),
        ("bottom_clearance", 0.51, ReadingState.STORED),
        ("bottom_clearance", 8.1, ReadingState.HELD),
        ("seat_band_width", 13.0, ReadingState.UNCONFIRMED),
        ("groove_bottom_depth", 6.4, ReadingState.HELD),
        ("groove_bottom_depth", 32.6, ReadingState.HELD),
        ("rim_thickness", 7.9, ReadingState.UNCONFIRMED),
        ("rim_thickness", 101.0, ReadingState.HELD),
        ("hardness", 139.0, ReadingState.UNCONFIRMED),
        ("hardness", 321.0, ReadingState.HELD),
        ("rope_tension", 0.0, ReadingState.UNCONFIRMED),
        ("rope_tension", 100.0, ReadingState.STORED),
        ("tension_index", 0.5, ReadingState.UNCONFIRMED),
        ("tension_index", 2.0, ReadingState.UNCONFIRMED),
        ("lay_length", 71.0, ReadingState.HELD),
        ("lay_length", 105.0, ReadingState.UNCONFIRMED),
        ("cwt_runby", 49.0, ReadingState.UNCONFIRMED),
        ("cwt_runby", -5.0, ReadingState.UNCONFIRMED),
        ("levelling_error", 36.0, ReadingState.UNCONFIRMED),
        ("levelling_error", -36.0, ReadingState.UNCONFIRMED),
        ("balance_load", 0.34, ReadingState.UNCONFIRMED),
        ("balance_load", 0.56, ReadingState.UNCONFIRMED),
    ],
)
def test_a_number_outside_its_band_is_held_or_acts_by_its_side(code, value, expected):
    assert state(code, value) == expected


@given(code=st.sampled_from(NUMBERED), value=st.floats(-1e6, 1e6))
def test_what_is_unsafe_is_never_merely_held(code, value):
    kind = KINDS[code]
    found = judge(kind=kind, value=value, word="", rope_diameter_mm=13.0)
    ends = {
        bound.unsafe: bound.at(rope_diameter_mm=13.0)
        for bound in (kind.low, kind.high)
        if bound is not None
    }

    below = kind.low and value < kind.low.at(rope_diameter_mm=13.0)
    if below and kind.low.unsafe:
        assert found.state == ReadingState.UNCONFIRMED
        assert found.warning == MEASURE_AGAIN
    if found.state == ReadingState.HELD:
        assert found.warning == HELD_BACK
        assert False in ends
        assert not found.stop


@pytest.mark.parametrize("code", ["rope_diameter", "lay_length", "seat_band_width"])
def test_without_the_ropes_diameter_it_says_that_it_did_not_look(code):
    found = judge(kind=KINDS[code], value=1.0, word="", rope_diameter_mm=None)

    assert (found.state, found.warning) == (ReadingState.STORED, NOT_CHECKED)


def test_a_kind_without_such_a_band_needs_no_diameter():
    found = judge(kind=KINDS["hardness"], value=200.0, word="", rope_diameter_mm=None)

    assert found.warning == ""


def test_a_number_that_is_missing_is_a_mistake_of_ours():
    with pytest.raises(ValueError, match="neither a number nor a word"):
        judge(kind=KINDS["hardness"], value=None, word="", rope_diameter_mm=None)
