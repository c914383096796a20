"""Available traction of V, round and undercut grooves, μ = 0.09, from a note.

The note's text speaks of wraps of 125° and 180°, its table is headed 135° and 180°; the
printed values are those of 135°: a misprint of the text.
"""

from math import radians

import pytest

from inspections.engineering.traction import (
    EN_81_1_1985,
    LoadCase,
    limit_ratio,
    undercut_factor_ratio,
    vee_factor_ratio,
)
from tests.published.printed import About, Printed

MU, LOAD = 0.09, 1.25


def round_or_undercut(angle_deg):
    return undercut_factor_ratio(
        undercut_angle_rad=radians(angle_deg), mouth_angle_rad=0.0
    )


def vee(angle_deg):
    return vee_factor_ratio(groove_angle_rad=radians(angle_deg))


CASES = [
    (vee(35.0), 135, 2.02),
    (vee(35.0), 180, 2.56),
    (vee(37.5), 135, 1.93),
    (vee(37.5), 180, 2.41),
    (round_or_undercut(0.0), 135, 1.31),
    (round_or_undercut(0.0), 180, 1.43),
    (round_or_undercut(90.0), 135, 1.55),
    (round_or_undercut(90.0), 180, 1.79),
    (round_or_undercut(105.0), 135, 1.67),
    (round_or_undercut(105.0), 180, 1.98),
]
PRINTED = Printed(
    source='"Traction", scribd.com/document/74263948',
    about=About.LIFTS,
    computed={"available traction": [printed for *_, printed in CASES]},
    transcribed={"coefficient of friction": [MU], "load when tested": [LOAD]},
)


@pytest.mark.parametrize(("factor_ratio", "wrap_deg", "printed"), CASES)
def test_matches_the_printed_traction_to_its_last_digit(
    factor_ratio, wrap_deg, printed
):
    found = limit_ratio(exponent=MU * factor_ratio * radians(wrap_deg))

    assert round(found, 2) == printed


def test_wrap_of_the_text_does_not_give_the_printed_value():
    found = limit_ratio(exponent=MU * vee(35.0) * radians(125))

    assert found != pytest.approx(2.02, abs=0.05)


def test_older_rules_take_the_note_s_friction_and_cases():
    assert EN_81_1_1985.mu_loading == MU
    assert EN_81_1_1985.load_factor == LOAD
    assert set(EN_81_1_1985.cases) == {LoadCase.LOADING, LoadCase.BRAKING_EMPTY}
