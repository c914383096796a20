"""Mean range of n equal readings: the constant d2 of control charts."""

import numpy as np
import pytest

from inspections.engineering.tension import range_quantile
from tests.published.printed import Printed

D2 = {2: 1.1284, 3: 1.6926, 4: 2.0588, 5: 2.3259, 6: 2.5344, 8: 2.8472}
PRINTED = Printed(
    source='E. L. Cano et al., "Shewhart Constants for Control Charts", vignette to '
    "Six Sigma with R (2012)",
    computed={"d2": list(D2.values())},
)

# Nodes and weights on 0..1; the mean is the integral of the quantile.
NODES, WEIGHTS = np.polynomial.legendre.leggauss(96)


@pytest.mark.parametrize(("count", "printed"), D2.items())
def test_mean_range_is_the_printed_constant(count, printed):
    mean = sum(
        weight / 2 * range_quantile(count=count, probability=(node + 1) / 2)
        for node, weight in zip(NODES, WEIGHTS, strict=True)
    )

    assert mean == pytest.approx(printed, abs=1e-4)
