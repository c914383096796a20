"""Last readings of published units, forecast from the earlier ones: ours and rivals.

Rivals fit each unit by itself: a straight line, and a power law of time (a straight
line in logarithms), each with the prediction interval of least squares.
"""

import dataclasses
from dataclasses import dataclass

import numpy as np
from scipy import stats

from inspections.projection import forecasting, foretold, hyper
from inspections.projection.foretold import ForecastOrigin
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning.learn import learn
from tests.benchmarks.scores import crps
from tests.published import series_of

PROBABILITIES = np.linspace(0.0025, 0.9975, 200)


@dataclass(frozen=True, slots=True, kw_only=True)
class Units:
    """Readings (n,) of units of several classes; every unit began at level 0."""

    unit: np.ndarray
    kind: np.ndarray
    clock: np.ndarray
    level: np.ndarray
    limit: float
    noise: float

    def of(self, chosen: np.ndarray) -> "Units":
        columns = {
            name: getattr(self, name)[chosen]
            for name in ("unit", "kind", "clock", "level")
        }
        return dataclasses.replace(self, **columns)

    def parted(self, at: float) -> tuple["Units", "Units"]:
        """Return what was read before a clock, and what was read then."""
        return self.of(self.clock < at), self.of(self.clock == at)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """crps : mean; covered : share inside 10 to 90 in 100; ahead : share deeper than
    nine in ten forecasts had it"""

    crps: float
    covered: float
    ahead: float


def _found(pit: np.ndarray, score: np.ndarray) -> Found:
    return Found(
        crps=float(score.mean()),
        covered=float(np.mean((pit >= 0.1) & (pit <= 0.9))),
        ahead=float(np.mean(pit > 0.9)),
    )


def learnt(before: Units, *, rates: list[float]) -> ClassHyperparameters:
    """Return what the earlier readings teach; a unit is a series of one place."""
    found = learn(
        **_arguments(before), hyper=hyper.starting(rate_per_clock=np.array(rates))
    )
    one = np.full(len(rates), 0.02)
    return dataclasses.replace(found, series_sd=one, installation_sd=one)


def _arguments(units: Units) -> dict:
    return series_of.arguments(
        unit=units.unit,
        kind=units.kind,
        clock=units.clock,
        level=units.level,
        limit=units.limit,
        noise=units.noise,
        tolerance=units.noise,
    )


def ours(units: Units, *, at: float, rates: list[float]) -> Found:
    before, then = units.parted(at)
    known = learnt(before, rates=rates)
    given = _arguments(before)
    count = given["limits"].limit_mm.size
    answer = forecasting.forecast(**given, hyper=known, horizon_years=np.ones(count))
    kind = given["hierarchy"].class_of_series
    origin = ForecastOrigin(
        level_mm=answer.level_mm,
        level_sd_mm=answer.level_sd_mm,
        rate_mm_per_year=answer.rate_mm_per_clock,
        log_rate_sd=answer.log_rate_sd,
        centre_years=answer.centre_clock,
        limit_mm=given["limits"].limit_mm,
        drift=known.drift[kind],
        burst=known.burst[kind],
        curvature=known.curvature[kind],
    )
    noise = units.noise * known.noise_scale[kind] * np.sqrt(answer.noise_factor)
    found = foretold.outcome(
        origin,
        years=np.full(count, at - before.clock.max()),
        level_mm=then.level[np.argsort(then.unit)],
        noise_mm=noise,
    )
    return _found(found.pit, found.crps_mm)


def by_itself(units: Units, *, at: float, power_law: bool) -> Found:
    before, then = units.parted(at)
    pits, scores = [], []
    for name, level in zip(then.unit, then.level, strict=True):
        own = before.unit == name
        x, y = before.clock[own], before.level[own]
        ahead = at
        if power_law:
            x, y, ahead = np.log(x), np.log(y), np.log(at)
        line = stats.linregress(x, y)
        rest = y - line.intercept - line.slope * x
        freedom = x.size - 2
        spread = np.sum((x - x.mean()) ** 2)
        sd = np.sqrt(
            np.sum(rest**2)
            / freedom
            * (1 + 1 / x.size + (ahead - x.mean()) ** 2 / spread)
        )
        law = stats.t(freedom, line.intercept + line.slope * ahead, sd)
        quantiles = law.ppf(PROBABILITIES)
        seen = np.log(level) if power_law else level
        quantiles = np.exp(quantiles) if power_law else quantiles
        pits.append(law.cdf(seen))
        scores.append(
            crps(
                quantiles=quantiles[:, None],
                probabilities=PROBABILITIES,
                truth=np.array([level]),
            )[0]
        )
    return _found(np.array(pits), np.array(scores))
