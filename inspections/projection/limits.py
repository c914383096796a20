"""The limit of each series and how surely it is known."""

from dataclasses import dataclass

import numpy as np

from inspections.projection.arrays import Flags, Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """limit_mm : (S,) wear at which the series is at its limit, > 0 [mm]
    limit_sd_mm : (S,) its standard deviation, 0 where it is exact [mm]
    """

    limit_mm: Floats
    limit_sd_mm: Floats

    @property
    def usable(self) -> Flags:
        """True (S,) where a forecast can be made towards the limit."""
        usable: Flags = (
            np.isfinite(self.limit_mm)
            & (self.limit_mm > 0)
            & np.isfinite(self.limit_sd_mm)
            & (self.limit_sd_mm >= 0)
        )
        return usable
