import pytest

from inspections.engineering import slip, slip_offsets
from inspections.engineering.answer import Answer, Axis
from inspections.engineering.slip_offsets import creep_unknown_mm, judge_offsets
from inspections.engineering.unknowns import axis_of, find
from inspections.engineering.validity import OutsideValidity

UNSURE = Axis(name="creep_mm", low=8.0, typical=12.0, high=22.0)


def judged(*offsets_mm, creep_mm=UNSURE, frame_offset_mm=0.0):
    return judge_offsets(
        offsets_mm=offsets_mm,
        creep_mm=creep_mm,
        offset_sd_mm=1.5,
        frame_offset_mm=frame_offset_mm,
    )


@pytest.mark.parametrize("rope_travel_m", [10.0, 30.0, 60.0])
def test_offset_of_500_mm_is_beyond_with_nothing_known_but_the_travel(rope_travel_m):
    found = judged(
        500.0,
        creep_mm=creep_unknown_mm(rope_travel_m=rope_travel_m),
        frame_offset_mm=None,
    )

    assert found.answer is Answer.BEYOND
    assert not found.brake_excluded


def test_modulus_not_known_leaves_a_range_of_creep_that_holds_that_of_any_rope():
    area = axis_of(unknown=find(name="metallic_area_mm2"), of_value=13.0**2)
    modulus = axis_of(unknown=find(name="modulus_any_core_mpa"))
    forces = {
        "rope_travel_m": 30.0,
        "t1_n": 4500.0,
        "t2_n": 3200.0,
        "exponent": 0.57,
        "wrap_angle_rad": 2.88,
        "sheave_diameter_mm": 520.0,
    }

    found = slip_offsets.creep_range_mm(modulus_mpa=modulus, area_mm2=area, **forces)

    for stiffness_n in (60_000.0 * 59.0, 71_000.0 * 59.0, 100_000.0 * 77.0):
        creep = slip.elastic_creep_mm(rope_stiffness_n=stiffness_n, **forces)
        assert found.low <= creep <= found.high
    assert judged(500.0, creep_mm=found).answer is Answer.BEYOND


def test_offsets_up_and_down_do_not_cancel():
    assert judged(300.0, -300.0, 5.0).answer is Answer.BEYOND


def test_two_runs_are_enough_to_be_beyond_and_not_to_be_within():
    assert judged(80.0, 2.0).answer is Answer.BEYOND
    assert judged(4.0, 5.0).answer is Answer.OPEN
    assert judged(4.0, 5.0, 6.0).answer is Answer.WITHIN


def test_offset_between_stiff_and_soft_ropes_is_open_and_asks_for_the_stiffness():
    found = judged(40.0, 38.0, 41.0)

    assert found.answer is Answer.OPEN
    assert found.decided_by_creep


def test_sheave_that_moved_by_an_unknown_way_takes_nothing_off():
    assert judged(70.0, 68.0, 71.0, frame_offset_mm=None).answer is Answer.BEYOND
    assert judged(70.0, 68.0, 71.0, frame_offset_mm=68.0).answer is Answer.WITHIN


@pytest.mark.parametrize("more_mm", [0.5, 10.0, 200.0])
@pytest.mark.parametrize("offsets_mm", [(4.0, 5.0, 6.0), (30.0, 41.0, 38.0), (80.0,)])
def test_larger_offset_never_reads_better(offsets_mm, more_mm):
    rank = {Answer.WITHIN: 0, Answer.OPEN: 1, Answer.BEYOND: 2}
    worse = (*offsets_mm[:-1], offsets_mm[-1] + more_mm)

    assert rank[judged(*worse).answer] >= rank[judged(*offsets_mm).answer]


@pytest.mark.parametrize("kept", [1, 2])
def test_fewer_runs_never_read_better_where_the_largest_stays(kept):
    rank = {Answer.WITHIN: 0, Answer.OPEN: 1, Answer.BEYOND: 2}
    offsets_mm = (12.0, 9.0, 3.0)

    fewer, whole = judged(*offsets_mm[:kept]), judged(*offsets_mm)

    assert rank[fewer.answer] >= rank[whole.answer]


def test_no_run_at_all_is_refused():
    with pytest.raises(OutsideValidity, match="1 or more"):
        judged()
