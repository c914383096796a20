"""How many clock units a year brings, where wear is counted in trips."""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Floats, Integers

GROWTH_YEARS = 10.0
"""A trend of usage is carried this far ahead; then usage stays where it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Usage:
    """Forecast of usage per series (S,), as of the last reading.

    log_per_year, log_variance : logarithm of clock units per year, and its variance
    growth, growth_variance : change of that logarithm per year [1/year]
    log_growth_covariance : of the two
    wander_variance : variance the logarithm gathers per year [1/year]
    """

    log_per_year: Floats
    log_variance: Floats
    growth: Floats
    growth_variance: Floats
    log_growth_covariance: Floats
    wander_variance: Floats

    def select(self, chosen: Integers) -> "Usage":
        return Usage(**{name: getattr(self, name)[chosen] for name in self.__slots__})

    def calendar(self, steady_years: Floats) -> Floats:
        """Return years at growing usage for years at today's usage.

        t = log(1 + g·h)/g while growth lasts (``GROWTH_YEARS``), then at the usage
        reached. Times before today are left as they are.
        """
        growth = np.where(np.abs(self.growth) < 1e-6, 1e-6, self.growth)
        inner = np.maximum(1.0 + growth * steady_years, 1e-9)
        growing = np.log(inner) / growth
        reached = np.exp(growth * GROWTH_YEARS)
        later = GROWTH_YEARS + (steady_years - (reached - 1.0) / growth) / reached
        years = np.where(growing <= GROWTH_YEARS, growing, later)
        return np.where(steady_years > 0, years, steady_years)

    def steady(self, years: Floats) -> Floats:
        """Return years at today's usage that bring the usage of ``years`` (inverse)."""
        growth = np.where(np.abs(self.growth) < 1e-6, 1e-6, self.growth)
        growing = np.expm1(growth * np.minimum(years, GROWTH_YEARS)) / growth
        reached = np.exp(growth * GROWTH_YEARS)
        return growing + np.maximum(years - GROWTH_YEARS, 0.0) * reached
