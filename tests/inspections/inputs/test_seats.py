"""Seat depths from readings: by which route, since when, with what uncertainty."""

from datetime import date
from math import radians, sin, sqrt

import pytest

from inspections import inputs
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import seats
from inspections.reasons import Term
from tests.inspections.assessment.snapshots import (
    BEFORE,
    FITTED,
    ROUND,
    TODAY,
    UNDERCUT,
    V,
    diameters,
    snapshot,
    take,
)


def series(of):
    groove = inputs.groove_of(of.geometry)
    return {
        of.grooves[pk - 101].number: found
        for pk, found in inputs.seat_series(of, groove=groove).items()
    }


def test_clearance_gives_what_is_gone_of_the_clearance_as_cut():
    found = series(snapshot(*diameters(), take("bottom_clearance", 2.5, groove=3)))

    assert list(found) == [3]
    assert found[3][0].seat.depth_mm == pytest.approx(4.0 - 2.5)
    assert found[3][0].clearance_mm == 2.5


def test_smallest_clearance_of_a_visit_counts():
    readings = [
        take("bottom_clearance", value, groove=1, mark=mark)
        for value, mark in ((2.5, "A"), (2.1, "B"), (2.4, "C"))
    ]

    found = series(snapshot(*diameters(), *readings))

    assert found[1][0].clearance_mm == 2.1


def test_error_of_the_clearance_as_cut_is_kept_apart_from_the_scatter():
    one = series(snapshot(*diameters(), take("bottom_clearance", 2.5, groove=1)))[1][0]

    assert one.offset_sd_mm == 0.15
    assert one.whole_sd_mm == pytest.approx(sqrt(one.seat.sd_mm**2 + 0.15**2))


def test_band_of_a_v_gives_its_chord():
    bands = [
        take("seat_band_width", 3.0, groove=1, flank=flank)
        for flank in ("left", "right")
    ]

    found = series(snapshot(*diameters(), *bands, geometry=V))

    # Chord L of a rope of radius r: s = r (1 - cos w)/sin(19 deg), sin w = L/2r.
    depth = 6.5 * (1 - sqrt(1 - (3.0 / 13.0) ** 2)) / sin(radians(19))
    assert found[1][0].seat.depth_mm == pytest.approx(depth)


def test_one_flank_alone_gives_nothing():
    only = take("seat_band_width", 3.0, groove=1, flank="left")

    assert series(snapshot(*diameters(), only, geometry=V)) == {}


def test_crown_needs_a_baseline_within_sixty_days_of_the_cut():
    def crowns(first):
        return snapshot(
            *diameters(on=first),
            *diameters(),
            take("rope_crown_height", 3.0, groove=1, mark="A", on=first),
            take("rope_crown_height", 2.0, groove=1, mark="A"),
            geometry=ROUND,
        )

    early, late = series(crowns(date(2020, 3, 1))), series(crowns(date(2020, 6, 1)))

    assert early[1][-1].seat.depth_mm == pytest.approx(1.0)
    assert late == {}


def test_readings_from_before_the_cut_do_not_count():
    readings = [
        *diameters(on=BEFORE),
        *diameters(),
        take("bottom_clearance", 1.0, groove=1, on=BEFORE),
        take("bottom_clearance", 3.8, groove=1),
    ]

    found = series(snapshot(*readings, cut_on=date(2026, 1, 1)))

    assert [one.clearance_mm for one in found[1]] == [3.8]


def test_a_groove_without_a_rope_diameter_has_no_depth():
    assert series(snapshot(take("bottom_clearance", 2.5, groove=1))) == {}


def test_a_stale_diameter_says_nothing_about_a_seat_read_today():
    old = diameters(on=date(2024, 1, 1))

    assert series(snapshot(*old, take("bottom_clearance", 2.5, groove=1))) == {}


def test_a_series_keeps_to_the_route_read_most_recently():
    readings = [
        *diameters(on=FITTED),
        *diameters(on=BEFORE),
        *diameters(),
        take("rope_crown_height", 3.0, groove=1, mark="A", on=FITTED),
        take("bottom_clearance", 3.0, groove=1, on=BEFORE),
        take("rope_crown_height", 1.5, groove=1, mark="A"),
    ]

    found = series(snapshot(*readings))[1]

    assert {one.seat.route.value for one in found} == {"CROWN_HEIGHT"}
    assert found[-1].taken_at.date() == TODAY


def test_uneven_bands_are_refused_with_the_kernels_sentence():
    of = snapshot(
        *diameters(),
        take("seat_band_width", 2.0, groove=1, flank="left"),
        take("seat_band_width", 4.0, groove=1, flank="right"),
        geometry=V,
    )

    found = inputs.groove_seats(of, groove=inputs.groove_of(of.geometry))[101]

    assert found.routes == ()
    assert found.refused_since.route is Term.ROUTE_SEAT_BAND
    assert "within 30 %" in str(found.refused_since.reason)


def test_rope_that_no_groove_can_hold_is_said():
    of = snapshot(*diameters(), geometry=V | {"flat_bottom_width_mm": 20.0})

    with pytest.raises(OutsideValidity, match="bottom_width_mm is 20"):
        inputs.groove_seats(of, groove=inputs.groove_of(of.geometry))


def test_baseline_is_the_first_crown_after_the_cut():
    of = snapshot(
        *diameters(13.2, on=FITTED),
        take("rope_crown_height", 3.0, groove=2, mark="A", on=FITTED),
        geometry=UNDERCUT,
    )

    height, diameter, readings = seats.baselines(of)[102]

    assert (height, diameter) == (3.0, pytest.approx(13.2))
    assert len(readings) == 1
