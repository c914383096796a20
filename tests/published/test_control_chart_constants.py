"""Mean range of n equal readings: the constant d2 of control charts.

Source: "Table of Control Chart Constants" (university hand-out and a gauge
maker's manual, same numbers). Status: confirmed, read in the source.
"""

import numpy as np
import pytest

from inspections.engineering.tension import range_quantile

# Nodes and weights on 0..1; the mean is the integral of the quantile.
NODES, WEIGHTS = np.polynomial.legendre.leggauss(24)


@pytest.mark.parametrize(
    ("count", "printed"),
    [(2, 1.128), (3, 1.693), (4, 2.059), (5, 2.326), (6, 2.534), (8, 2.847)],
)
def test_mean_range_is_the_printed_constant(count, printed):
    mean = sum(
        weight / 2 * range_quantile(count=count, probability=(node + 1) / 2)
        for node, weight in zip(NODES, WEIGHTS, strict=True)
    )

    assert mean == pytest.approx(printed, abs=0.006)
