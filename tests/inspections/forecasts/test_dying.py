"""The steps at which a run is killed, in tests that are run seldom, are there."""

import pytest

from tests.inspections.forecasts import dying


@pytest.mark.parametrize("step", dying.STEPS)
def test_a_step_is_a_function_of_the_run(step):
    module, name = dying.place(step)

    assert callable(getattr(module, name, None)), step
