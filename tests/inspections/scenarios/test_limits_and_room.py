"""What bears the change, what room is left, what it costs; less known is no better."""

import pytest

from inspections import scenarios
from inspections.assessment.draft import Draft
from inspections.assessment.over import Over
from inspections.decisions.records import Estimate, OptionKind, Rates
from inspections.engineering.answer import Answer
from inspections.models import Grade
from inspections.reasons import Topic
from inspections.scenarios.after_work import CheckAfter, Room
from inspections.scenarios.makers_limits import MakersLimit, NotEntered
from inspections.scenarios.notes import Note
from inspections.scenarios.side_by_side import Turn, rows
from tests.inspections.assessment.snapshots import UNDERCUT, snapshot, take, worn


def tried(of, rates=None, **changes):
    return scenarios.work_out(of, scenarios.read(changes), rates=rates)


def entered(**values):
    of = snapshot(*worn(2.5), take("cwt_runby", 120.0))
    for name, value in values.items():
        setattr(of.machine, name, value)
    return of


def limits_of(found):
    return {row.name: row for row in found.limits}


def test_nothing_entered_is_named_and_compared_with_nothing():
    found = limits_of(tried(entered(), car_mass_kg=1000.0))

    assert list(found) == list(MakersLimit)
    for row in found.values():
        assert row.limit is row.margin_now is row.margin_then is None
        assert NotEntered.LIMIT in row.not_entered
        assert row.turn is Turn.NOT_COMPARED
    assert NotEntered.MACHINE_MASS in found[MakersLimit.BEAMS].not_entered


def test_what_is_entered_has_its_margin_on_both_sides():
    of = entered(
        shaft_load_limit_kn=40.0,
        beam_load_limit_kn=60.0,
        machine_mass_kg=900.0,
        brake_torque_nm=120.0,
        motor_torque_nm=60.0,
        gear_turns=35.0,
        drive_kind="GEARED",
    )

    found = tried(of, car_mass_kg=1500.0)
    limits = limits_of(found)

    shaft = limits[MakersLimit.SHAFT]
    assert shaft.margin_now == pytest.approx(1.0 - found.now.shaft_most_n / 40000.0)
    assert shaft.then > shaft.now
    assert shaft.turn is Turn.WORSE
    beams = limits[MakersLimit.BEAMS]
    assert beams.now > 900.0 * 9.81 + found.now.shaft_most_n - 1.0
    brake = limits[MakersLimit.BRAKE]
    assert brake.now == pytest.approx(found.now.brake_torque_nm / 35.0)
    motor = limits[MakersLimit.MOTOR]
    assert motor.not_entered == (NotEntered.GEAR_EFFICIENCY,)
    assert motor.margin_then is None


def test_room_moves_with_a_cut_and_with_shortened_ropes():
    of = entered(
        top_clearance_mm=700.0, top_clearance_least_mm=650.0, hitch_thread_mm=60.0
    )
    cut = tried(of, undercut_angle_deg=90.0, cut_depth_mm=2.0)
    short = tried(of, shorten_ropes_mm=80.0)

    rooms = {row.name: row for row in cut.after.rooms}
    # 3.5 mm less radius, 165 degrees of wrap.
    spare = 3.5 * 2.879793
    runby = rooms[Room.COUNTERWEIGHT_RUNBY]
    assert runby.now_mm - runby.then_mm == pytest.approx(spare, abs=1e-3)
    assert rooms[Room.TOP_CLEARANCE].then_mm == pytest.approx(700.0 + spare, abs=1e-3)
    assert rooms[Room.HITCH_THREAD].then_mm is None
    assert {CheckAfter.GOVERNOR, CheckAfter.ENCODER} < {*cut.after.checks}

    rooms = {row.name: row for row in short.after.rooms}
    assert rooms[Room.COUNTERWEIGHT_RUNBY].then_mm == pytest.approx(200.0)
    assert rooms[Room.TOP_CLEARANCE].margin_mm == pytest.approx(-30.0)
    assert rooms[Room.HITCH_THREAD].margin_mm == pytest.approx(-20.0)
    assert CheckAfter.GOVERNOR not in short.after.checks
    runby = [row for row in short.rows if row.topic == str(Topic.COUNTERWEIGHT_RUNBY)]
    assert all(row.turn is not Turn.BETTER for row in runby)


def test_nothing_entered_of_the_room_is_left_to_be_measured():
    found = tried(snapshot(*worn(2.5)), shorten_ropes_mm=80.0)

    rooms = {row.name: row for row in found.after.rooms}
    assert rooms[Room.TOP_CLEARANCE].then_mm is None
    assert rooms[Room.COUNTERWEIGHT_RUNBY].then_mm is None
    assert CheckAfter.ROOMS in found.after.checks


def test_new_ropes_cost_their_metres_measured_or_worked_out():
    of = entered()
    rates = Rates(
        currency="EUR",
        hourly=Estimate(low=50.0, mid=60.0, high=70.0),
        hours={OptionKind.RE_ROPE: Estimate(low=10.0, mid=12.0, high=16.0)},
        rope_per_m=Estimate(low=4.0, mid=5.0, high=6.0),
    )

    about = tried(of, rates, rope_diameter_mm=12.0).cost
    of.rope_set.length_m = 40.0
    exact = tried(of, rates, rope_diameter_mm=12.0).cost
    masses = tried(of, rates, car_mass_kg=1000.0).cost

    assert exact.mid == pytest.approx(12.0 * 60.0 + 5 * 40.0 * 5.0)
    # Travel 30 m and 6 m of ends, 165 degrees of 600 mm.
    metres = 5 * (36.0 + 2.879793 * 0.3)
    assert about.mid == pytest.approx(720.0 + metres * 5.0, rel=1e-4)
    assert about.low == pytest.approx(500.0 + 0.9 * metres * 4.0, rel=1e-4)
    assert (about.rope_length_measured, exact.rope_length_measured) == (False, True)
    assert (masses.option, masses.mid, masses.not_priced) == (
        None,
        None,
        ("car_mass_kg",),
    )


def test_no_date_is_told_where_the_seats_become_softer():
    hard = snapshot(*worn(2.5), geometry=UNDERCUT | {"hardened_depth_mm": 4.0})

    soft = tried(hard, cut_depth_mm=3.0)
    same = tried(snapshot(*worn(2.5)), cut_depth_mm=3.0)

    assert Note.SOFTER in soft.notes
    assert soft.wear_scale is None
    assert Note.SOFTER not in same.notes
    assert same.wear_scale is not None
    wires = tried(snapshot(*worn(2.5)), outer_grade_mpa=1770, inner_grade_mpa=1770)
    assert wires.wear_scale is None


def test_a_larger_sheave_is_judged_at_the_speed_that_it_gives():
    found = tried(snapshot(*worn(2.5)), sheave_diameter_mm=720.0)

    assert Note.FASTER in found.notes
    assert found.then.rope_speed_m_s == pytest.approx(1.6 * 1.2)
    asked = tried(snapshot(*worn(2.5)), sheave_diameter_mm=720.0, rated_speed_m_s=1.6)
    assert asked.then.rope_speed_m_s == pytest.approx(1.6)


def draft(**said):
    return Draft(
        **{"topic": Topic.TRACTION, "grade": Grade.PLAN_WORK, "margin": -0.1, **said}
    )


def over(worst, answer=Answer.OPEN):
    return Over(answer=answer, worst=worst, typical=0.1, best=0.3)


@pytest.mark.parametrize(
    ("now", "then", "turn"),
    [
        # Beyond that becomes open is only known less.
        (draft(), draft(over=over(-0.2)), Turn.NOT_COMPARED),
        (draft(), draft(grade=Grade.NOT_ASSESSED, over=over(-0.2)), Turn.NOT_COMPARED),
        # Of two that are open the worse end decides.
        (draft(over=over(-0.2)), draft(margin=0.2, over=over(-0.3)), Turn.WORSE),
        (draft(over=over(-0.2)), draft(over=over(-0.1)), Turn.BETTER),
        (draft(over=over(-0.2)), draft(over=over(None)), Turn.NOT_COMPARED),
        # A margin that goes is none that grew.
        (draft(), draft(margin=None), Turn.NOT_COMPARED),
        (draft(), draft(margin=-0.05), Turn.BETTER),
    ],
)
def test_what_is_only_known_less_is_never_better(now, then, turn):
    (row,) = rows([now], [then])

    assert row.turn is turn
