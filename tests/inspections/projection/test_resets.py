import numpy as np

from inspections.projection import resets

WORN = [(1.0, 1.8), (2.0, 2.0), (3.0, 2.2)]


def suspect(given):
    return resets.suspect(
        readings=given["readings"],
        hierarchy=given["hierarchy"],
        limit_mm=given["limits"].limit_mm,
    )


def test_two_series_stepping_back_together_are_renewed_parts(arguments):
    given = arguments([*WORN, (4.0, 0.2)], [*WORN, (4.0, 0.1)], WORN)
    given["readings"].visit[:] = (given["readings"].clock * 10).astype(int)

    found = suspect(given)

    assert found.kind.tolist() == [resets.WHOLE, resets.WHOLE, resets.NOT_SUSPECTED]
    assert np.flatnonzero(found.at_reading).tolist() == [3, 7]


def test_one_series_stepping_back_is_perhaps_a_mix_up(arguments):
    found = suspect(arguments([*WORN, (4.0, 0.2)], [*WORN, (4.0, 2.4)]))

    assert found.kind.tolist() == [resets.SINGLE, resets.NOT_SUSPECTED]


def test_stray_reading_that_comes_back_is_not_a_reset(arguments):
    found = suspect(arguments([*WORN, (4.0, 0.2), (5.0, 2.6)]))

    assert found.kind.tolist() == [resets.NOT_SUSPECTED]


def test_steady_wear_is_not_suspected(arguments):
    found = suspect(arguments([*WORN, (4.0, 2.3)], [], [(1.0, 1.0)]))

    assert not found.at_reading.any()
    assert not found.heals.any()


def test_wear_that_only_falls_is_said_to_heal(arguments):
    found = suspect(arguments([(float(t), 2.0 - 0.2 * t) for t in range(6)], WORN))

    assert found.heals.tolist() == [True, False]
