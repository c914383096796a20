import numpy as np

from inspections.projection import counter


def unwrap(reading, *, digits=6, years=None):
    size = len(reading)
    return counter.unwrap(
        years=np.arange(size, dtype=float) if years is None else np.array(years),
        reading=np.array(reading, dtype=float),
        bounds=np.array([0, size]),
        digits=np.array([digits]),
        most_per_year=2_000_000.0,
    )


def test_counter_that_rolls_over_goes_on():
    found = unwrap([900_000, 990_000, 80_000])

    assert found.count.tolist() == [0, 90_000, 180_000]
    assert found.outcome[2] == counter.ROLLED_OVER


def test_replaced_counter_counts_from_its_new_zero():
    found = unwrap([900_000, 990_000, 30_000], digits=0)

    assert found.count.tolist() == [0, 90_000, 120_000]
    assert found.outcome[2] == counter.REPLACED


def test_rise_no_lift_can_make_is_not_counted():
    found = unwrap([0, 9_000_000, 9_100_000], digits=8)

    assert found.count.tolist() == [0, 0, 100_000]
    assert found.outcome.tolist() == [counter.SAME, counter.TOO_FAST, counter.SAME]


def test_total_never_falls_whatever_is_read():
    rng = np.random.default_rng(1)

    found = unwrap(rng.integers(0, 10**6, 200).tolist())

    assert (np.diff(found.count) >= 0).all()


def test_machine_without_a_counter_is_no_error():
    found = counter.unwrap(
        years=np.array([]),
        reading=np.array([]),
        bounds=np.array([0, 0]),
        digits=np.array([6]),
        most_per_year=2e6,
    )

    assert found.count.size == 0
