from math import acos, degrees, pi, radians

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from inspections.engineering.groove import (
    RoundGroove,
    SeatState,
    UndercutGroove,
    VGroove,
    bedding_depth_mm,
    bottoming_depth_mm,
    contact_at,
)
from inspections.engineering.validity import OutsideValidity

ROPE_MM = 13.0
RADIUS_MM = ROPE_MM / 2.0
HIGH_MM = 60.0


def at(groove, depth_mm, rope_mm=ROPE_MM):
    return contact_at(groove=groove, rope_diameter_mm=rope_mm, seat_depth_mm=depth_mm)


def undercut(beta=95, gamma=30, bottom=3.0, taper=0.0):
    return UndercutGroove(
        seat_radius_mm=RADIUS_MM,
        undercut_angle_rad=radians(beta),
        mouth_angle_rad=radians(gamma),
        bottom_clearance_mm=bottom,
        slot_taper_rad=radians(taper),
    )


# --- the same contact by cutting polygons -----------------------------------


def opening(groove):
    """The groove as turned, as a polygon; the new rope's centre is the origin."""
    if isinstance(groove, VGroove):
        return v_opening(groove)
    half = groove.mouth_angle_rad / 2.0
    # Flanks leave the seat's circle where their normals point at it.
    x, y = RADIUS_MM * np.cos(half), -RADIUS_MM * np.sin(half)
    top = x + (HIGH_MM - y) * np.tan(half)
    mouth = shapely.Polygon([(-x, y), (x, y), (top, HIGH_MM), (-top, HIGH_MM)])
    seat = shapely.Point(0, 0).buffer(RADIUS_MM, quad_segs=4000)
    parts = [seat, mouth]
    if isinstance(groove, UndercutGroove):
        parts.append(slot(groove))
    return shapely.union_all(parts)


def slot(groove):
    half = groove.undercut_angle_rad / 2.0
    edge_x, edge_y = RADIUS_MM * np.sin(half), -RADIUS_MM * np.cos(half)
    bottom_y = -RADIUS_MM - groove.bottom_clearance_mm
    bottom_x = edge_x - (edge_y - bottom_y) * np.tan(groove.slot_taper_rad)
    return shapely.Polygon(
        [
            (-edge_x, 0),
            (-edge_x, edge_y),
            (-bottom_x, bottom_y),
            (bottom_x, bottom_y),
            (edge_x, edge_y),
            (edge_x, 0),
        ]
    )


def v_opening(groove):
    half = groove.groove_angle_rad / 2.0
    apex_y = -RADIUS_MM / np.sin(half)
    top = (HIGH_MM - apex_y) * np.tan(half)
    width = groove.bottom_width_mm / 2.0
    mouth_y = apex_y + width / np.tan(half)
    flanks = shapely.Polygon(
        [(-width, mouth_y), (width, mouth_y), (top, HIGH_MM), (-top, HIGH_MM)]
    )
    bottom_y = mouth_y - groove.slot_depth_mm
    relief = shapely.box(-width, bottom_y, width, mouth_y + 1e-9)
    return shapely.union_all([flanks, relief])


def arcs_of_polygons(groove, depth_mm):
    """Where the sunken rope touches metal that its own way down has not taken."""
    swept = shapely.LineString([(0, 0), (0, -depth_mm)]).buffer(
        RADIUS_MM, quad_segs=4000
    )
    swept = shapely.union_all([swept, shapely.box(-RADIUS_MM, 0, RADIUS_MM, HIGH_MM)])
    empty = shapely.union_all([opening(groove), swept])
    shapely.prepare(empty)
    theta = np.linspace(-pi / 2, pi / 2, 20001)
    reach = RADIUS_MM + 2e-5
    touches = ~shapely.contains_xy(
        empty, reach * np.sin(theta), -depth_mm - reach * np.cos(theta)
    )
    steps = np.flatnonzero(np.diff(np.r_[False, touches, False].astype(int)))
    ends = theta[np.clip(steps - np.tile([0, 1], len(steps) // 2), 0, 20000)]
    return ends.reshape(-1, 2)


@pytest.mark.parametrize(
    ("groove", "depth_mm"),
    [
        (VGroove(groove_angle_rad=radians(35)), 0.5),
        (VGroove(groove_angle_rad=radians(35)), 2.0),
        (VGroove(groove_angle_rad=radians(45)), 6.0),
        (VGroove(groove_angle_rad=radians(45)), 11.0),
        (VGroove(groove_angle_rad=radians(38), bottom_width_mm=5.0), 6.0),
        (VGroove(groove_angle_rad=radians(38), bottom_width_mm=5.0), 6.4),
        (VGroove(groove_angle_rad=radians(38), bottom_width_mm=5.0), 9.0),
        (
            VGroove(
                groove_angle_rad=radians(35), bottom_width_mm=6.0, slot_depth_mm=3.0
            ),
            8.0,
        ),
        (
            VGroove(
                groove_angle_rad=radians(35), bottom_width_mm=6.0, slot_depth_mm=3.0
            ),
            9.0,
        ),
        (RoundGroove(seat_radius_mm=RADIUS_MM, mouth_angle_rad=radians(30)), 0.3),
        (RoundGroove(seat_radius_mm=RADIUS_MM, mouth_angle_rad=radians(30)), 2.0),
        (undercut(), 0.1),
        (undercut(), 2.9),
        (undercut(), 3.065),
        (undercut(), 4.0),
        (undercut(), 6.0),
        (undercut(gamma=0), 1.5),
        (undercut(taper=5), 1.0),
        (undercut(taper=5), 2.0),
        (undercut(taper=5), 3.2),
    ],
)
def test_contact_is_that_of_swept_polygons(groove, depth_mm):
    expected = arcs_of_polygons(groove, depth_mm)

    found = np.array(at(groove, depth_mm).arcs_rad)

    assert found.shape == expected.shape
    assert np.degrees(found) == pytest.approx(np.degrees(expected), abs=0.25)


# --- states ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("groove", "depth_mm", "state"),
    [
        (VGroove(groove_angle_rad=radians(35)), 0.0, SeatState.NEW),
        (VGroove(groove_angle_rad=radians(35)), 0.9, SeatState.BEDDING),
        (VGroove(groove_angle_rad=radians(35)), 1.1, SeatState.SEATED),
        (undercut(), 2.99, SeatState.SEATED),
        (undercut(), 3.0, SeatState.BOTTOMED),
        (undercut(bottom=None), 9.0, SeatState.SEATED),
    ],
)
def test_state_tells_the_stage_of_wear(groove, depth_mm, state):
    assert at(groove, depth_mm).state is state


def test_depth_left_goes_negative_once_the_rope_lies_on_the_bottom():
    assert at(undercut(), 2.5).depth_left_mm == pytest.approx(0.5)
    assert at(undercut(), 3.25).depth_left_mm == pytest.approx(-0.25)


def test_depth_left_is_not_guessed():
    assert at(undercut(bottom=None), 1.0).depth_left_mm is None


def test_round_groove_has_no_bottom_of_its_own():
    groove = RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=0.5)

    assert bottoming_depth_mm(groove=groove, rope_diameter_mm=13.0) is None


def test_rope_on_the_bottom_bears_there_too():
    contact = at(undercut(), 3.02)

    assert len(contact.arcs_rad) == 3
    assert contact.effective_undercut_rad == 0.0


def test_slot_is_gone_when_the_bottom_reaches_its_edges():
    gone_mm = 3.0 + RADIUS_MM * (1.0 - np.cos(radians(95 / 2)))

    before, after = at(undercut(), gone_mm - 0.01), at(undercut(), gone_mm + 0.01)

    assert len(before.arcs_rad) == 3
    assert len(after.arcs_rad) == 1


def test_tapered_slot_of_unknown_bottom_closes():
    groove = undercut(bottom=None, taper=10)

    contact = at(groove, 40.0)

    assert contact.arcs_rad == ((-pi / 2, pi / 2),)


def test_rope_sunk_by_more_than_its_diameter_bears_on_half_its_round():
    assert at(undercut(gamma=0), 30.0).arcs_rad == ((-pi / 2, pi / 2),)


def test_relief_slot_keeps_its_edges_once_the_seat_reaches_them():
    groove = VGroove(
        groove_angle_rad=radians(35), bottom_width_mm=6.0, slot_depth_mm=3.0
    )

    contact = at(groove, 8.0)

    assert contact.effective_undercut_rad == pytest.approx(2 * np.arcsin(6.0 / 13.0))


# --- properties --------------------------------------------------------------

angles = st.floats(35.0, 60.0)
depths = st.floats(0.0, 12.0)
grooves = st.one_of(
    st.builds(lambda g: VGroove(groove_angle_rad=radians(g)), angles),
    st.builds(
        lambda g, w, t: VGroove(
            groove_angle_rad=radians(g), bottom_width_mm=w, slot_depth_mm=t
        ),
        angles,
        st.floats(1.0, 5.0),
        st.floats(0.5, 6.0),
    ),
    st.builds(
        lambda g: RoundGroove(seat_radius_mm=6.5, mouth_angle_rad=radians(g)),
        st.floats(0.0, 60.0),
    ),
    st.builds(
        undercut,
        st.floats(60.0, 106.0),
        st.floats(0.0, 60.0),
        st.floats(0.5, 5.0),
        st.floats(0.0, 5.0),
    ),
)


@settings(deadline=None)
@given(groove=grooves, depth_mm=depths)
def test_arcs_are_in_order_within_half_a_round_and_mirror_each_other(groove, depth_mm):
    arcs = at(groove, depth_mm).arcs_rad

    ends = [end for arc in arcs for end in arc]
    assert ends == sorted(ends)
    assert ends[0] >= -pi / 2
    assert ends[-1] <= pi / 2
    assert [-end for end in reversed(ends)] == pytest.approx(ends)


@settings(deadline=None)
@given(groove=grooves, depth_mm=depths, more_mm=st.floats(0.0, 3.0))
def test_contact_never_gets_shorter_by_wear(groove, depth_mm, more_mm):
    def length(depth):
        return sum(high - low for low, high in at(groove, depth).arcs_rad)

    assert length(depth_mm + more_mm) >= length(depth_mm) - 1e-9


@settings(deadline=None)
@given(
    gamma=angles,
    depth_mm=st.floats(0.0, 5.0),
    scale=st.floats(0.5, 3.0),
)
def test_contact_does_not_change_with_the_unit_of_length(gamma, depth_mm, scale):
    groove = VGroove(groove_angle_rad=radians(gamma))

    one = at(groove, depth_mm)
    other = at(groove, depth_mm * scale, rope_mm=ROPE_MM * scale)

    assert np.ravel(other.arcs_rad) == pytest.approx(np.ravel(one.arcs_rad), abs=1e-6)


@settings(deadline=None)
@given(gamma=angles)
def test_v_takes_the_full_width_of_the_rope_at_the_bedding_depth(gamma):
    groove = VGroove(groove_angle_rad=radians(gamma))
    bedded_mm = bedding_depth_mm(groove=groove, rope_diameter_mm=ROPE_MM)

    top = at(groove, bedded_mm).arcs_rad[-1][1]

    assert top == pytest.approx(pi / 2, abs=1e-7)


# --- bad input ---------------------------------------------------------------


@pytest.mark.parametrize("depth_mm", [-0.1, float("nan"), float("inf")])
def test_seat_depth_must_be_a_number_from_zero(depth_mm):
    with pytest.raises(OutsideValidity, match=r"seat_depth_mm is"):
        at(undercut(), depth_mm)


@pytest.mark.parametrize("rope_mm", [0.0, -13.0])
def test_rope_diameter_must_be_positive(rope_mm):
    with pytest.raises(OutsideValidity, match=r"rope_diameter_mm is"):
        at(undercut(), 0.5, rope_mm=rope_mm)


def test_swept_polygons_see_the_flank_of_a_known_v():
    (low, high) = arcs_of_polygons(VGroove(groove_angle_rad=radians(35)), 2.0)[-1]

    omega = acos(1.0 - 2.0 / 6.5 * np.sin(radians(17.5)))
    assert degrees(low) == pytest.approx(72.5 - degrees(omega), abs=0.1)
    assert degrees(high) == pytest.approx(90.0, abs=0.1)
