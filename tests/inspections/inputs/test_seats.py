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


class TestBandsOutOfRange:
    """Crowns say 0.2 mm in each visit; bands give more, and are preferred."""

    def course(self, left, right, *, crown=2.8, later=()):
        days = [(FITTED, 3.0, 2.0, 2.0), (BEFORE, 2.9, 2.6, 2.6)]
        days += [(TODAY, crown, left, right), *later]
        readings = [
            reading
            for day, height, *widths in days
            for reading in (
                *diameters(on=day),
                take("rope_crown_height", height, groove=1, mark="A", on=day),
                *(
                    take("seat_band_width", width, groove=1, flank=flank, on=day)
                    for flank, width in zip(("left", "right"), widths, strict=True)
                    if width is not None
                ),
            )
        ]
        return [
            (each.taken_at.date(), each.seat)
            for each in series(snapshot(*readings, geometry=V))[1]
        ]

    @pytest.mark.parametrize(("left", "right"), [(9.0, 9.0), (3.1, 12.1), (12.1, 3.1)])
    def test_course_goes_on_with_what_the_seat_has_at_least(self, left, right):
        even = self.course(3.1, 3.1)

        wide = self.course(left, right)

        assert [day for day, _ in wide] == [FITTED, BEFORE, TODAY]
        assert wide[:2] == even[:2]
        assert wide[2][1].depth_mm > even[2][1].depth_mm
        assert wide[2][1].at_least

    def test_what_another_way_found_deeper_at_that_visit_counts(self):
        found = self.course(9.0, 9.0, crown=-2.0)

        assert found[2][1].depth_mm == pytest.approx(5.0)
        assert found[2][1].route.value == "CROWN_HEIGHT"

    def test_another_way_read_later_has_a_course_of_its_own(self):
        later = [(date(2026, 5, 30), 2.7, None, None)]

        found = self.course(9.0, 9.0, later=later)

        assert {seat.route.value for _, seat in found} == {"CROWN_HEIGHT"}
        assert len(found) == 4

    def test_without_any_depth_the_least_stands_alone(self):
        of = snapshot(
            *diameters(),
            take("seat_band_width", 9.0, groove=1, flank="left"),
            take("seat_band_width", 9.0, groove=1, flank="right"),
            geometry=V,
        )

        [only] = series(of)[1]

        assert only.seat.at_least


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
