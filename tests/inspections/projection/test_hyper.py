import json

import numpy as np
import pytest

from inspections.projection import hyper


def test_record_comes_back_as_it_went():
    values = hyper.starting(rate_per_clock=np.array([0.2, 0.1]))

    back = hyper.from_record(json.loads(json.dumps(hyper.to_record(values))))

    for name in hyper.ClassHyperparameters.__slots__:
        assert getattr(back, name) == pytest.approx(getattr(values, name)), name


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"version": 0}, "version is 0; it must be 1"),
        ({"drift": [float("nan")]}, "drift is not finite"),
    ],
)
def test_record_that_cannot_be_trusted_is_refused(change, words):
    record = hyper.to_record(hyper.starting(rate_per_clock=np.array([0.2]))) | change

    with pytest.raises(ValueError, match=words):
        hyper.from_record(record)


def test_record_with_a_number_missing_is_refused():
    record = hyper.to_record(hyper.starting(rate_per_clock=np.array([0.2])))
    del record["burst"]

    with pytest.raises(ValueError, match="burst is missing"):
        hyper.from_record(record)


def test_rate_that_is_not_positive_is_refused():
    with pytest.raises(ValueError, match=r"rate_per_clock is 0.0; it must be positive"):
        hyper.starting(rate_per_clock=np.array([0.2, 0.0]))
