"""The closed list of reading kinds holds together."""

import pytest

from fleet.platform.units import QUANTITIES
from inspections.kinds import KINDS, PLACE_VALUES, Bound, Subject
from inspections.models import Reading

EVERY_KIND = pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)


def longest(field):
    return Reading._meta.get_field(field).max_length


@EVERY_KIND
def test_a_kind_has_a_quantity_or_words(kind):
    assert bool(kind.quantity) != bool(kind.words)
    assert kind.quantity in ("", *QUANTITIES)
    assert set(kind.unsafe_words) <= set(kind.words)
    assert not (kind.words and (kind.low or kind.high or kind.signed))


@EVERY_KIND
def test_a_kind_fits_its_columns(kind):
    assert len(kind.code) <= longest("kind")
    assert all(len(word) <= longest("word") for word in kind.words)
    if kind.quantity:
        units = QUANTITIES[kind.quantity].units
        assert all(len(unit) <= longest("typed_unit") for unit in units)


@EVERY_KIND
def test_a_kinds_place_is_made_of_known_keys(kind):
    assert set(kind.place) | set(kind.may) <= set(PLACE_VALUES)
    assert not set(kind.place) & set(kind.may)


@EVERY_KIND
def test_a_kinds_band_has_a_low_end_below_its_high_end(kind):
    if kind.low is None or kind.high is None:
        return
    ends = [bound.at(rope_diameter_mm=13.0) for bound in (kind.low, kind.high)]
    assert ends[0] < ends[1]


@EVERY_KIND
def test_a_number_below_nothing_belongs_to_signed_kinds_only(kind):
    if kind.low is not None and kind.low.value < 0:
        assert kind.signed


def test_a_bound_per_diameter_is_not_known_without_the_diameter():
    bound = Bound(value=0.85, per_diameter=True)

    assert bound.at(rope_diameter_mm=None) is None
    assert bound.at(rope_diameter_mm=10.0) == 8.5


def test_what_stops_a_machine_is_what_readings_are_taken_for():
    # Slip seen, brake slide, a defect found, a rope at the bottom of its groove or out
    # of shape, a traction test that failed.
    stopping = {
        kind.code
        for kind in KINDS.values()
        if kind.stops or kind.stops_at_or_below is not None
    }

    assert stopping == {
        "slip_seen",
        "brake_slide_seen",
        "check",
        "bottom_clearance",
        "rope_deformation",
        "traction_test",
    }
    assert KINDS["check"].subject is Subject.MACHINE
