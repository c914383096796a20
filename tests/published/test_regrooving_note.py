"""A machining firm's note on regrooving.

All grooves to the deepest plus 1/16 in; a 20 in sheave with 1/2 in ropes stands at the
limit of 40 and cannot be cut.
"""

import pytest

from inspections.engineering import criteria, cut
from inspections.engineering.cut import (
    FitAnswer,
    KnownForm,
    Proof,
    SeatAt,
    SheaveToCut,
)
from inspections.engineering.rim import RimMetal
from tests.published.printed import Printed

CLEAN_UP_IN, LEAST_RATIO = 1 / 16, 40
PRINTED = Printed(
    source='"General & Elevator Sheave Re-Grooving"',
    transcribed={"clean-up [in]": [CLEAN_UP_IN], "least D/d": [LEAST_RATIO]},
)
_INCH_MM = 25.4
_UNKNOWN = RimMetal(grooves=(), thinnest=None, minimum_mm=None, missing=(), cautions=())


def _plan(*, sheave_in, rope_in, depths_in):
    diameter_mm = sheave_in * _INCH_MM
    return cut.plan(
        sheave=SheaveToCut(
            form=KnownForm.UNDERCUT,
            pitch_diameter_new_mm=diameter_mm,
            pitch_diameter_turned_mm=diameter_mm,
            hardened_depth_mm=0.0,
        ),
        seats=tuple(
            SeatAt(groove=number, depth_mm=depth * _INCH_MM)
            for number, depth in enumerate(depths_in, start=1)
        ),
        rim=_UNKNOWN,
        clean_up_mm=CLEAN_UP_IN * _INCH_MM,
        rope_diameter_mm=rope_in * _INCH_MM,
        proof=Proof(),
        criteria_set=criteria.find(code="ASME_A17_1"),
    )


def test_all_grooves_go_to_the_deepest_plus_a_sixteenth():
    plan = _plan(sheave_in=25, rope_in=0.5, depths_in=(0.02, 0.06, 0.04))

    depths = [each.seat_depth_mm + each.removed_at_seat_mm for each in plan.grooves]
    assert depths == pytest.approx([(0.06 + CLEAN_UP_IN) * _INCH_MM] * 3)
    assert plan.clean_up_mm == pytest.approx(1.6, abs=0.02)


def test_twenty_inch_sheave_with_half_inch_ropes_cannot_be_cut():
    plan = _plan(sheave_in=LEAST_RATIO * 0.5, rope_in=0.5, depths_in=(0.0,))

    assert plan.answer is FitAnswer.DOES_NOT_FIT
    reasons = " ".join(str(each) for each in plan.reasons)
    assert "sheave diameter over rope diameter" in reasons
