from math import radians

import pytest

from inspections.engineering.answer import Answer
from inspections.engineering.cut import SeatAt
from inspections.engineering.cut.geometry import with_runout
from inspections.engineering.rim import (
    CastRunout,
    GrooveBottom,
    KnownDraft,
    Thicker,
    ThicknessReading,
    metal_over,
)
from inspections.engineering.validity import OutsideValidity

GROOVES = tuple(
    GrooveBottom(number=n, axial_mm=20.0 * n, bottom_depth_mm=18.0) for n in (1, 2)
)


def over(runout, thickness_mm=31.8):
    return metal_over(
        grooves=GROOVES,
        readings=(
            ThicknessReading(axial_mm=40.0, thickness_mm=thickness_mm, sd_mm=0.2),
        ),
        draft=KnownDraft(angle_rad=radians(1), thicker=Thicker.TOWARDS_DATUM),
        runout=runout,
    )


def test_metal_without_a_run_out_is_open_between_none_and_the_plausible_worst():
    found = over(None).answer(groove=2, minimum_mm=12.5)

    assert found.answer is Answer.OPEN
    # A reading that met the thick spot of 3 mm of run-out leaves 3 mm less.
    assert found.least_mm == pytest.approx(31.8 - 18.0 - 0.4 - 3.0)
    assert found.most_mm == pytest.approx(31.8 - 18.0 + 0.4)


def test_run_out_that_was_measured_is_not_assumed():
    found = over(CastRunout(indicator_mm=3.0))

    assert found.runout_mm is None
    assert found.least == found.most
    assert found.answer(groove=2, minimum_mm=12.5).answer is Answer.OPEN
    assert (
        over(CastRunout(indicator_mm=0.1)).answer(groove=2, minimum_mm=12.5).answer
        is Answer.WITHIN
    )


@pytest.mark.parametrize(
    ("thickness_mm", "answer"),
    [(36.0, Answer.WITHIN), (31.8, Answer.OPEN), (29.9, Answer.BEYOND)],
)
def test_metal_decides_where_both_ends_do(thickness_mm, answer):
    found = over(None, thickness_mm).answer(groove=2, minimum_mm=12.5)

    assert found.answer is answer


def test_knowing_the_run_out_never_leaves_less_than_the_plausible_worst():
    without = over(None).answer(groove=1, minimum_mm=12.5).least_mm

    for indicator_mm in (0.0, 0.5, 1.5, 3.0):
        known = over(CastRunout(indicator_mm=indicator_mm))
        assert known.answer(groove=1, minimum_mm=12.5).least_mm >= without


def test_seat_run_out_deepens_a_groove_that_was_read_at_few_marks():
    quarters = [radians(angle) for angle in (0, 90, 180, 270)]
    whole = [
        SeatAt(groove=1, depth_mm=1.0 + 0.1 * n, angle_rad=angle)
        for n, angle in enumerate(quarters)
    ]
    few = [SeatAt(groove=2, depth_mm=1.4, angle_rad=0.0)]

    found = with_runout(seats=(*whole, *few), runout_mm=0.3)

    deepest = {g: max(s.depth_mm for s in found if s.groove == g) for g in (1, 2)}
    assert deepest == pytest.approx({1: 1.3, 2: 1.7})


def test_negative_run_out_is_refused():
    with pytest.raises(OutsideValidity, match="runout_mm"):
        with_runout(seats=(SeatAt(groove=1, depth_mm=1.0),), runout_mm=-0.1)
