"""A scenario beside the machine as known: same rules, another machine."""

from dataclasses import replace
from itertools import combinations

import pytest

from inspections import scenarios
from inspections.assessment.assessing import judge
from inspections.scenarios import applying
from inspections.scenarios.notes import Note
from inspections.scenarios.problems import NotKnownEnough, NotTried
from inspections.scenarios.side_by_side import Turn
from tests.inspections.assessment.snapshots import (
    UNDERCUT,
    V,
    diameters,
    snapshot,
    take,
    worn,
)

DEFLECTOR = {
    "kind": "DEFLECTOR",
    "diameter_mm": 500.0,
    "offset_x_mm": 400.0,
    "drop_h_mm": 900.0,
}
# Values that are not the machine's own, and can stand beside each other.
OTHERS = {
    "undercut_angle_deg": 90.0,
    "cut_depth_mm": 2.0,
    "rope_diameter_mm": 12.0,
    "ropes_count": 4,
    "car_mass_kg": 1100.0,
    "rated_load_kg": 900.0,
    "compensation_mass_kg_m": 2.0,
    "rated_speed_m_s": 1.0,
    "roping_ratio": 2,
    "wrap_angle_deg": 170.0,
    "tensions": "EQUAL",
}


def hanging(**changed):
    return snapshot(*worn(2.5), **changed)


def tried(of, **changes):
    return scenarios.work_out(of, scenarios.read(changes))


def said(of):
    """Return every finding without the ids of its readings."""
    drafts, limits, _ = judge(of)
    return [replace(d, readings=(), groove_id=None, rope_id=None) for d in drafts], [
        (each.quantity, each.place, each.value, each.reason) for each in limits
    ]


def test_a_change_to_nothing_changes_nothing():
    found = tried(hanging())

    assert found.rows
    assert {row.turn for row in found.rows} == {Turn.SAME}
    assert all(row.now == row.then for row in found.rows)
    assert found.now == found.then
    assert found.course_now == found.course_then
    assert (found.life_ratio, found.speed_ratio, found.cut) == (1.0, 1.0, None)
    assert found.notes == ()


@pytest.mark.parametrize(
    ("name", "own"),
    [
        ("car_mass_kg", 1200.0),
        ("rated_load_kg", 1000.0),
        ("balance_ratio", 0.45),
        ("compensation_mass_kg_m", 0.0),
        ("rated_speed_m_s", 1.6),
        ("roping_ratio", 1),
        ("wrap", "SINGLE"),
        ("wrap_angle_deg", 165.0),
    ],
)
def test_a_value_that_the_machine_has_changes_no_finding(name, own):
    found = tried(hanging(), **{name: own})

    assert {row.turn for row in found.rows} == {Turn.SAME}
    assert found.then == found.now


@pytest.mark.parametrize(
    ("one", "other"), list(combinations(OTHERS, 2)), ids=lambda name: name
)
def test_two_changes_in_either_order_make_the_same_machine(one, other):
    of = hanging()
    forth = scenarios.read([(one, OTHERS[one]), (other, OTHERS[other])])
    back = scenarios.read([(other, OTHERS[other]), (one, OTHERS[one])])

    made = [
        applying.apply(of, changes, seats=scenarios_seats(of)).snapshot
        for changes in (forth, back)
    ]

    assert rows_of(made[0]) == rows_of(made[1])


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("car_mass_kg", "rated_load_kg"),
        ("car_mass_kg", "undercut_angle_deg"),
        ("rope_diameter_mm", "compensation_mass_kg_m"),
    ],
)
def test_one_change_after_the_other_is_both_at_once(one, other):
    of = hanging()
    seats = scenarios_seats(of)

    def put(into, *names):
        changes = scenarios.read({name: OTHERS[name] for name in names})
        return applying.apply(into, changes, seats=seats).snapshot

    after = [said(put(put(of, a), b)) for a, b in ((one, other), (other, one))]

    both = said(put(of, one, other))
    for each in after:
        assert [(d.topic, d.place, d.grade, d.reason) for d in each[0]] == [
            (d.topic, d.place, d.grade, d.reason) for d in both[0]
        ]


def scenarios_seats(of):
    from inspections.assessment import basis

    return basis.of_snapshot(of).work.seats


def rows_of(of):
    """Return what a snapshot is made of, as values."""
    parts = (of.machine, of.geometry, of.sheave, of.rope_set)
    columns = [
        {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields}
        for row in parts
    ]
    read = [(r.kind, r.value, r.groove_id, r.rope_id, r.place) for r in of.readings]
    return columns, read, [p.diameter_mm for p in of.pulleys], len(of.ropes)


def test_the_machine_as_known_stays_as_it_is():
    of = hanging(pulleys=(DEFLECTOR,))
    before, findings = rows_of(of), said(of)

    tried(
        of,
        groove_form="V",
        groove_angle_deg=40.0,
        rope_diameter_mm=12.0,
        car_mass_kg=900.0,
        deflector_offset_x_mm=500.0,
    )

    assert rows_of(of) == before
    assert said(of) == findings


def test_a_lighter_car_leaves_the_counterweight_as_heavy_and_says_the_balance():
    found = tried(hanging(), car_mass_kg=1000.0)

    assert found.now.counterweight_mass_kg == 1650.0
    assert found.then.counterweight_mass_kg == pytest.approx(1650.0)
    assert found.now.balance_percent == pytest.approx(45.0)
    assert found.then.balance_percent == pytest.approx(65.0)
    assert Note.MASSES_IN_KG in found.notes


def test_a_car_as_heavy_as_the_counterweight_is_no_balance_and_still_worked_out():
    found = tried(hanging(), car_mass_kg=1800.0)

    assert found.then.counterweight_mass_kg == pytest.approx(1650.0)
    assert found.then.balance_percent == pytest.approx(-15.0)


def test_a_balance_is_that_of_the_machine_as_changed():
    found = tried(hanging(), car_mass_kg=1000.0, balance_ratio=0.5)

    assert found.then.counterweight_mass_kg == pytest.approx(1500.0)
    assert Note.BALANCE_ASKED in found.notes


def test_grooves_are_cut_below_the_deepest_seat_and_start_as_new():
    found = tried(hanging(), undercut_angle_deg=90.0, cut_depth_mm=2.0)

    # Clearance 2.5 of 4.0 as cut: the seats have sunk 1.5.
    assert found.then.sheave_diameter_mm == pytest.approx(600.0 - 2 * (1.5 + 2.0))
    assert found.speed_ratio == pytest.approx(593.0 / 600.0)
    assert found.cut is not None
    assert found.cut.cut_depth_mm == pytest.approx(3.5)
    assert {Note.GROOVES_CUT, Note.NEW_ROPES, Note.SPEED_SET_AGAIN} <= {*found.notes}
    assert not any(row.turn is Turn.BETTER and row.then is None for row in found.rows)


def test_traction_over_the_life_is_that_of_the_groove_tried():
    found = tried(hanging(), undercut_angle_deg=90.0)

    holding = [
        case for case in found.course_then.cases if not case.need.case.is_stalled
    ]
    for then, now in zip(holding, found.course_now.cases, strict=False):
        assert then.margins[0] < now.margins[0]


def test_a_smaller_undercut_makes_the_ropes_live_longer_by_its_pulleys():
    found = tried(hanging(), undercut_angle_deg=80.0)

    # N_equiv(t) 6.7 at 95 degrees, 3.0 at 80; the sheave is a little smaller.
    assert found.now.equivalent_pulleys == pytest.approx(6.7)
    assert found.then.equivalent_pulleys == pytest.approx(3.0)
    assert 1.9 < found.life_ratio < 6.7 / 3.0


def test_a_v_that_is_not_hardened_and_has_no_slot_is_told():
    found = tried(
        hanging(),
        groove_form="V",
        groove_angle_deg=38.0,
        flat_bottom_width_mm=5.0,
        hardened_depth_mm=0.0,
    )

    assert Note.SOFT_VEE in found.notes


def test_a_cut_takes_the_hardened_layer_with_it():
    of = hanging(geometry=UNDERCUT | {"hardened_depth_mm": 4.0})
    seats = scenarios_seats(of)

    left = [
        applying.apply(of, scenarios.read(changes), seats=seats).snapshot.geometry
        for changes in (
            {"cut_depth_mm": 1.0},
            {"cut_depth_mm": 3.0},
            {"cut_depth_mm": 3.0, "hardened_depth_mm": 5.0},
        )
    ]

    # Seats of 1.5 and the cut below them.
    assert [row.hardened_depth_mm for row in left] == pytest.approx([1.5, 0.0, 5.0])


def test_another_wrap_needs_grooves_and_an_angle():
    of = hanging()

    with pytest.raises(NotTried, match="wrap_angle_deg"):
        tried(of, wrap="DOUBLE")
    with pytest.raises(NotTried, match="sheave_diameter_mm"):
        tried(of, wrap="DOUBLE", wrap_angle_deg=320.0)

    found = tried(
        of,
        wrap="DOUBLE",
        wrap_angle_deg=320.0,
        sheave_diameter_mm=600.0,
        groove_form="ROUND",
        seat_radius_mm=6.9,
        groove_angle_deg=30.0,
    )

    assert found.then.between_least_n < found.then.between_most_n
    assert found.then.shaft_most_n > 1.7 * found.now.shaft_most_n
    assert Note.BETWEEN_THE_WHEELS in found.notes


def test_a_measure_of_another_form_is_refused():
    with pytest.raises(NotTried, match="no measure of the form V"):
        tried(snapshot(*worn(2.5), geometry=V), undercut_angle_deg=90.0)


def test_a_form_without_what_it_is_made_of_is_refused():
    with pytest.raises(NotTried, match="needs more"):
        tried(snapshot(*worn(2.5)), groove_form="V", flat_bottom_width_mm=5.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"groove_form": "V", "groove_angle_deg": 30.0, "flat_bottom_width_mm": 5.0},
        {"undercut_angle_deg": 100.0, "groove_angle_deg": 85.0},
    ],
    ids=["a steep V", "no seat left"],
)
def test_what_the_physics_does_not_hold_for_is_refused_with_the_range(changes):
    with pytest.raises(NotTried, match=r"from|below"):
        tried(hanging(), **changes)


def test_a_cut_from_seats_that_nobody_has_read_is_refused():
    with pytest.raises(NotKnownEnough, match="deepest seat"):
        tried(snapshot(*diameters()), undercut_angle_deg=90.0)


def test_what_was_seen_on_the_machine_stays():
    of = snapshot(*worn(2.5), take("slip_seen", word="yes"))

    found = tried(of, car_mass_kg=1300.0)

    slip = [row for row in found.rows if row.now and row.now.stops_service]
    assert slip
    assert all(row.then and row.then.stops_service for row in slip)
    assert Note.SEEN_STAYS in found.notes


def test_less_known_never_makes_a_scenario_look_better():
    whole = tried(hanging(), undercut_angle_deg=92.0)
    less = tried(hanging(machine={"balance_ratio": None}), undercut_angle_deg=92.0)

    within = {
        (row.topic, row.place, row.criterion)
        for row in less.rows
        if row.then and row.then.answer == "WITHIN"
    }
    beyond = {
        (row.topic, row.place, row.criterion)
        for row in whole.rows
        if row.then and row.then.answer in ("BEYOND", "OPEN")
    }
    assert not within & beyond
    assert Note.NOT_WORKED_OUT in less.notes


def test_roping_two_to_one_halves_rope_forces_and_the_car_speed():
    found = tried(hanging(pulleys=(DEFLECTOR,)), roping_ratio=2)

    assert found.speed_ratio == pytest.approx(0.5)
    assert found.then.shaft_most_n < 0.55 * found.now.shaft_most_n
    assert Note.PULLEYS_SUPPOSED in found.notes


def test_a_moved_deflector_moves_the_wrap():
    found = tried(
        hanging(pulleys=(DEFLECTOR,), machine={"wrap_angle_deg": None}),
        deflector_offset_x_mm=600.0,
    )

    assert found.then.wrap_deg < found.now.wrap_deg


def test_a_place_that_nobody_knows_is_asked_for():
    with pytest.raises(NotTried, match="deflector_diameter_mm"):
        tried(hanging(), deflector_offset_x_mm=600.0)
