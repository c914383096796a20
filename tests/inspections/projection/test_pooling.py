"""Message passing against the dense Gaussian posterior of the same tree."""

import dataclasses

import numpy as np
import pytest

from inspections.projection import hyper, pooling
from inspections.projection.hierarchy import Hierarchy

TREE = Hierarchy(
    epoch_of_series=np.array([0, 0, 1, 2, 2, 2]),
    machine_of_epoch=np.array([0, 0, 1]),
    class_of_machine=np.array([0, 0]),
)
VALUES = dataclasses.replace(
    hyper.starting(rate_per_clock=np.array([0.2])),
    machine_sd=np.array([0.5]),
    installation_sd=np.array([0.2]),
    series_sd=np.array([0.3]),
)
VALUE = np.array([-1.0, -1.5, -2.0, -1.2, -1.8, -1.4])
VARIANCE = np.array([0.04, 0.2, 0.1, 0.5, 0.02, 0.1])
SHARED = 0.05


def dense(leave_out=None):
    """Return mean and covariance of β, or of β + c without one series' message."""
    same_epoch = TREE.epoch_of_series[:, None] == TREE.epoch_of_series
    machine = TREE.machine_of_series
    covariance = (
        0.25 * (machine[:, None] == machine) + 0.04 * same_epoch + 0.09 * np.eye(6)
    )
    shown = covariance + SHARED * same_epoch
    use = np.arange(6) != leave_out
    noise = shown[np.ix_(use, use)] + np.diag(VARIANCE[use])
    cross = (covariance if leave_out is None else shown)[:, use]
    gain = cross @ np.linalg.inv(noise)
    mean = np.log(0.2) + gain @ (VALUE[use] - np.log(0.2))
    whole = covariance if leave_out is None else shown
    return mean, whole - gain @ cross.T


def pooled():
    return pooling.pool(
        precision=1 / VARIANCE,
        information=VALUE / VARIANCE,
        shared_variance=np.full(6, SHARED),
        hierarchy=TREE,
        hyper=VALUES,
    )


def test_posterior_is_that_of_the_dense_matrix():
    found = pooled()

    mean, covariance = dense()
    assert found.mean == pytest.approx(mean)
    assert found.variance == pytest.approx(np.diag(covariance))


@pytest.mark.parametrize("series", range(6))
def test_what_others_say_leaves_out_the_series_itself(series):
    found = pooled()

    mean, covariance = dense(leave_out=series)
    assert found.others_mean[series] == pytest.approx(mean[series])
    assert found.others_variance[series] == pytest.approx(covariance[series, series])
