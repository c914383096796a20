"""A course of wear out of readings that never saw a database."""

import pytest

from inspections.forecasts import series
from tests.inspections.assessment.snapshots import (
    BEFORE,
    TODAY,
    V,
    diameters,
    snapshot,
    take,
)


def bands(width_mm, day):
    return [
        *diameters(on=day),
        *(
            take("seat_band_width", width_mm, groove=1, flank=flank, on=day)
            for flank in ("left", "right")
        ),
    ]


def test_bands_out_of_range_are_a_point_as_deep_as_the_seat_is_at_least():
    of = snapshot(*bands(2.5, BEFORE), *bands(9.0, TODAY), geometry=V)

    seats = [
        each
        for each in series.of_machine(of, limits=[])
        if (each.quantity, each.place) == ("seat_depth", "groove 1")
    ]

    [first, second] = seats[0].points
    # The depth at which a band is as wide as it gets, r·tan(38°/4).
    assert second.level_mm == pytest.approx(1.0877, abs=1e-3)
    assert second.level_mm > first.level_mm
    assert second.at_least
    assert not first.at_least


def test_bands_out_of_range_scatter_no_more_than_a_little_narrower_ones():
    depths = {}
    for width_mm in (4.1, 9.0):
        of = snapshot(*bands(2.5, BEFORE), *bands(width_mm, TODAY), geometry=V)
        seat = next(
            each
            for each in series.of_machine(of, limits=[])
            if (each.quantity, each.place) == ("seat_depth", "groove 1")
        )
        depths[width_mm] = seat.points[-1]

    # A larger one would let the deeper seat pull its date less.
    assert depths[9.0].level_mm > depths[4.1].level_mm
    assert depths[9.0].sd_mm == pytest.approx(depths[4.1].sd_mm, rel=0.05)


@pytest.mark.parametrize(("told_mm", "layer_mm"), [(0.5, 0.5), (0.0, None)])
def test_seats_carry_the_depth_of_their_hardened_layer(told_mm, layer_mm):
    geometry = V | {"hardened_depth_mm": told_mm}
    of = snapshot(*bands(2.5, TODAY), geometry=geometry)

    found = list(series.of_machine(of, limits=[]))

    seats = [each for each in found if each.quantity == "seat_depth"]
    assert seats
    assert {each.layer_mm for each in seats} == {layer_mm}
    assert {e.layer_mm for e in found if e.quantity != "seat_depth"} == {None}


def test_a_rope_wears_as_its_thinnest_station_does():
    thick, thin = 13.0, 12.2
    of = snapshot(
        *[
            take("rope_diameter", value, rope=1, station=station, direction=way)
            for station, value in (("car", thick), ("middle", thin), ("end", thick))
            for way in ("1", "2")
        ]
    )

    [rope] = [
        each for each in series.of_machine(of, limits=[]) if each.place == "rope 1"
    ]

    [point] = rope.points
    assert point.level_mm == pytest.approx(13.0 - thin)
    # Two readings of six say it.
    assert point.sd_mm > 0.0
    assert len(point.readings) == 6
