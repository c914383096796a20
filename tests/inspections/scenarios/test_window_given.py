"""What a groove window is looked for with."""

import pytest

from inspections.assessment import basis, knowing
from inspections.scenarios.window_given import AskedWindow, given_of
from tests.inspections.assessment.snapshots import snapshot, worn


@pytest.mark.parametrize(("braking", "taken"), [(0.5, 0.5), (0.7, 0.7), (None, 1.0)])
def test_a_braking_nobody_registered_is_taken_as_hard_as_it_may_be(braking, taken):
    of = snapshot(*worn(2.5), machine={"braking_deceleration_m_s2": braking})
    known = basis.of_known(knowing.know(of, with_limits=False))

    given, _ = given_of(of, known, AskedWindow())

    assert given.rules.retardation_m_s2 == taken
