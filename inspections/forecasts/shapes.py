"""Tracks as the kernel takes them."""

from dataclasses import dataclass, replace

import numpy as np

from inspections.forecasts import loading
from inspections.forecasts.clocks import Clock
from inspections.forecasts.loading import Tracks
from inspections.projection import normal
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.limits import Limits
from inspections.projection.series import Arranged, arrange

# A limit that a new part has used up already is met by the first wear. So little is
# within what a new part may be off; below it the kernel's chances lose their digits.
USED_UP_MM = 0.05
# What is read is no surer than that.
USED_UP_SD_MM = 0.01
# So little of a limit stands for one that was passed before any wear.
PASSED_MM = 0.01


def is_passed(limits: Limits) -> np.ndarray:
    """Return which limits (S,) count as passed, whatever was read."""
    found: np.ndarray = limits.limit_mm <= PASSED_MM
    return found


def used_up_chance(limits: Limits) -> np.ndarray:
    """Return the chance that a new part has used its limit up: no wear is below none.

    0 where no limit is known.
    """
    sd_mm = np.maximum(limits.limit_sd_mm, USED_UP_SD_MM)
    chance = normal.cumulative(-limits.limit_mm / sd_mm)
    return np.where(np.isfinite(limits.limit_mm), chance, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapedTracks:
    """Tracks as the kernel takes them; `arranged.source` below P names a point."""

    arranged: Arranged
    hierarchy: Hierarchy
    limits: Limits
    known: np.ndarray

    @property
    def reachable(self) -> Limits:
        """The limits, each above the level as new: the kernel forecasts to no other."""
        limit_mm = self.limits.limit_mm
        return replace(self.limits, limit_mm=np.maximum(limit_mm, USED_UP_MM))

    @property
    def points(self) -> np.ndarray:
        """True (N,) for readings that are no stand-in for the installation."""
        ordinary: np.ndarray = ~self.arranged.readings.installation
        return ordinary

    def of_points(self, values: np.ndarray, *, otherwise: bool | float) -> np.ndarray:
        """Return a column of the points (P,) for each reading (N,), else a value."""
        source = self.arranged.source
        found = np.full(source.size, otherwise, dtype=values.dtype)
        ordinary = np.flatnonzero(source < values.size)
        found[ordinary] = values[source[ordinary]]
        return found


def shape(*, tracks: Tracks, clock: Clock) -> ShapedTracks:
    """Return the readings of tracks, with one that stands for each installation."""
    known = np.isfinite(tracks.tolerance)
    new = np.flatnonzero(known)
    arranged = arrange(
        series=np.concatenate([tracks.track, new]),
        clock=np.concatenate([clock.of_point, np.zeros(new.size)]),
        level_mm=np.concatenate([tracks.level, np.zeros(new.size)]),
        noise_mm=np.concatenate([tracks.sd, tracks.tolerance[new]]),
        visit=np.concatenate([tracks.visit, -1 - new]),
        installation=np.arange(tracks.track.size + new.size) >= tracks.track.size,
        series_count=tracks.count,
    )
    return ShapedTracks(
        arranged=arranged,
        hierarchy=loading.hierarchy(tracks),
        limits=Limits(limit_mm=tracks.limit_level, limit_sd_mm=tracks.limit_sd),
        known=known,
    )
