import numpy as np
import pytest
from scipy import stats

from inspections.projection import scoring
from tests.benchmarks import scores


def test_verdicts_are_hit_early_late_and_open():
    verdict = scoring.verdicts(
        low=np.full(5, 2.0),
        high=np.full(5, 6.0),
        elapsed=np.array([3.0, 1.0, 7.0, 6.5, 4.0]),
        met=np.array([True, True, True, False, False]),
    )

    assert verdict.tolist() == [
        scoring.HIT,
        scoring.EARLY,
        scoring.LATE,
        scoring.LATE,
        scoring.OPEN,
    ]


def test_crps_of_fine_quantiles_is_that_of_the_normal_distribution():
    """Closed form: Gneiting & Raftery, JASA 102 (2007), equation 21 (confirmed)."""
    probabilities = (np.arange(2000) + 0.5) / 2000
    quantiles = stats.norm.ppf(probabilities)[:, None]
    z = 0.7

    found = scores.crps(
        quantiles=quantiles, probabilities=probabilities, truth=np.array([z])
    )

    expected = z * (2 * stats.norm.cdf(z) - 1) + 2 * stats.norm.pdf(z) - np.pi**-0.5
    assert found == pytest.approx([expected], abs=1e-3)


def record(elapsed):
    count = elapsed.size
    return scoring.record(
        low=np.full(count, 2.0),
        high=np.full(count, 6.0),
        elapsed=elapsed,
        met=np.ones(count, dtype=bool),
        group=np.zeros(count, dtype=int),
        machine=np.arange(count),
        groups=2,
    )


def test_model_that_keeps_its_word_is_not_doubtful():
    found = record(np.tile([1.0, 3, 3, 4, 4, 4, 5, 5, 5, 7.0], 20))

    assert found.hits.tolist() == pytest.approx([0.8, 0.0])
    assert found.judged.tolist() == [200, 0]
    assert not found.doubtful.any()


def test_model_that_stops_being_calibrated_says_so():
    found = record(np.tile([1.0, 1.0, 4.0, 7.0], 50))

    assert found.doubtful.tolist() == [True, False]
    assert found.early[0] == pytest.approx(0.5)


def test_sisters_of_one_machine_count_as_one_witness():
    elapsed = np.repeat([1.0, 4.0], 100)
    machine = np.repeat([0, 1], 100)

    found = scoring.record(
        low=np.full(200, 2.0),
        high=np.full(200, 6.0),
        elapsed=elapsed,
        met=np.ones(200, dtype=bool),
        group=np.zeros(200, dtype=int),
        machine=machine,
        groups=1,
    )

    assert found.coverage_error[0] == pytest.approx(0.5 * np.sqrt(0.5), rel=1e-6)
