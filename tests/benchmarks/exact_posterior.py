"""The exact answer for the linear law: what nobody can beat on average.

Gibbs sampling with Metropolis steps over rates, levels and visit effects, given the
true class values. ``python -m tests.benchmarks.exact_posterior 301`` writes the CRPS
of those seeds to ``exact_posterior.json``; a minute a seed. Two joint moves (a whole
installation's rates; a trend in visit effects against the slopes) are needed to mix:
without them 3,000 sweeps score worse than the approximation under test.
"""

import argparse
import json

import numpy as np

from inspections.projection.arrays import group_sum, segment_sum
from tests.benchmarks import calibration, fleets
from tests.benchmarks.fleets import CLASSES, Fleet

GROUPS = 600
SWEEPS, BURN, THIN = 9000, 2000, 7


class Sampler:
    """State of the chain: rates, their means by epoch and machine, visit effects."""

    def __init__(self, fleet: Fleet, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.fleet = fleet
        self.epoch, self.machine = fleet.epoch_of_series, fleet.machine_of_epoch
        self.machines, self.epochs = fleet.class_of_machine.size, self.machine.size
        self.class_of_epoch = fleet.class_of_machine[self.machine]
        of = self.class_of_epoch[self.epoch]
        row = {
            name: np.array([getattr(c, name) for c in CLASSES])
            for name in ("machine_sd", "installation_sd", "series_sd", "noise_mm")
        }
        self.tm = row["machine_sd"][fleet.class_of_machine]
        self.te = row["installation_sd"][self.class_of_epoch]
        self.ts = row["series_sd"]
        self.mean = np.log([c.median_mm_per_year for c in CLASSES])
        step = np.array([c.step_mm for c in CLASSES])
        shared = fleets.VISIT_SHARE * row["noise_mm"] ** 2
        own = (1 - fleets.VISIT_SHARE) * row["noise_mm"] ** 2 + step**2 / 12
        self.counts = fleet.counts
        self.starts = np.concatenate([[0], np.cumsum(self.counts)[:-1]])
        self.measured = ~np.isfinite(fleet.tolerance_mm)
        of_reading = np.repeat(of, self.counts)
        tolerance = np.where(self.measured, 1.0, fleet.tolerance_mm)
        self.weight = np.where(self.measured, 1 / own[of_reading], 1 / tolerance**2)
        self.total = segment_sum(self.weight, self.starts)
        self.centre = segment_sum(self.weight * fleet.years, self.starts) / self.total
        self.arm = fleet.years - np.repeat(self.centre, self.counts)
        self.spread = segment_sum(self.weight * self.arm**2, self.starts)
        self.series_sd = self.ts[of]
        self._visits(shared, of_reading)
        self.beta = self.mean[of].copy()
        self.epoch_mean = self.mean[self.class_of_epoch].copy()
        self.machine_mean = self.mean[fleet.class_of_machine].copy()
        self.effect = np.zeros(self.visits)
        known = 1 / np.sqrt(
            self.spread * np.exp(2 * self.beta) + 1 / (self.series_sd**2 + 0.03)
        )
        self.step = np.minimum(0.5, 1.2 * known)
        self.whole_step = np.full(self.epochs, 0.1)
        trend = np.sqrt(self.effect_variance_of_epoch / np.maximum(self.trend, 1e-6))
        self.trend_step = np.minimum(trend, 0.5 * np.exp(self.epoch_mean))
        self.accepted = [
            np.zeros(of.size),
            np.zeros(self.epochs),
            np.zeros(self.epochs),
        ]

    def _visits(self, shared: np.ndarray, of_reading: np.ndarray) -> None:
        fleet = self.fleet
        self.visit = fleet.visit
        self.visits = int(self.visit.max()) + 1
        of_visit = np.zeros(self.visits, int)
        of_visit[self.visit] = of_reading
        self.effect_variance = shared[of_visit]
        self.effect_variance_of_epoch = shared[self.class_of_epoch]
        self.seen_weight = np.where(self.measured, self.weight, 0.0)
        summed = group_sum(self.seen_weight, self.visit, self.visits)
        self.effect_precision = summed + 1 / self.effect_variance
        self.epoch_of_visit = np.zeros(self.visits, int)
        self.epoch_of_visit[self.visit] = np.repeat(self.epoch, self.counts)
        times = np.zeros(self.visits)
        times[self.visit] = fleet.years
        real = group_sum(self.measured * 1.0, self.visit, self.visits) > 0
        count = group_sum(real * 1.0, self.epoch_of_visit, self.epochs)
        middle = group_sum(times * real, self.epoch_of_visit, self.epochs)
        middle = middle / np.maximum(count, 1)
        self.lean = (times - middle[self.epoch_of_visit]) * real
        self.trend = group_sum(self.lean**2, self.epoch_of_visit, self.epochs)
        self.real = real

    def _slopes(self, effect: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        level = self.fleet.level_mm - np.where(self.measured, effect[self.visit], 0.0)
        cross = segment_sum(self.weight * self.arm * level, self.starts)
        slope = np.where(
            self.spread > 1e-12, cross / np.maximum(self.spread, 1e-12), 0.0
        )
        return slope, segment_sum(self.weight * level, self.starts) / self.total

    def _density(self, beta: np.ndarray, slope: np.ndarray) -> np.ndarray:
        gap = (beta - self.epoch_mean[self.epoch]) / self.series_sd
        return -0.5 * self.spread * (np.exp(beta) - slope) ** 2 - 0.5 * gap**2

    def _accept(self, gain: np.ndarray) -> np.ndarray:
        return np.log(self.rng.random(gain.size)) < gain

    def sweep(self) -> tuple[np.ndarray, np.ndarray]:
        """Move everything once; return rate and level at clock zero of each series."""
        slope, _ = self._slopes(self.effect)
        for _ in range(2):
            new = self.beta + self.step * self.rng.standard_normal(self.beta.size)
            gain = self._density(new, slope) - self._density(self.beta, slope)
            yes = self._accept(gain)
            self.beta = np.where(yes, new, self.beta)
            self.accepted[0] += 0.5 * yes
        self._shift_installations(slope)
        self._trade_trends(slope)
        _, level = self._slopes(self.effect)
        rate = np.exp(self.beta)
        noise = self.rng.standard_normal(rate.size) / np.sqrt(self.total)
        start = level - rate * self.centre + noise
        self._draw_effects(rate, start)
        self._draw_means()
        return rate, start

    def _shift_installations(self, slope: np.ndarray) -> None:
        move = self.whole_step * self.rng.standard_normal(self.epochs)
        before = -0.5 * self.spread * (np.exp(self.beta) - slope) ** 2
        moved = self.beta + move[self.epoch]
        after = -0.5 * self.spread * (np.exp(moved) - slope) ** 2
        gap = self.epoch_mean - self.machine_mean[self.machine]
        prior = -0.5 * ((gap + move) ** 2 - gap**2) / self.te**2
        gain = group_sum(after - before, self.epoch, self.epochs) + prior
        move = np.where(self._accept(gain), move, 0.0)
        self.accepted[1] += move != 0
        self.epoch_mean = self.epoch_mean + move
        self.beta = self.beta + move[self.epoch]

    def _trade_trends(self, slope: np.ndarray) -> None:
        """Add a trend to an installation's rates, take it from its visit effects."""
        move = self.trend_step * self.rng.standard_normal(self.epochs)
        effect = self.effect - move[self.epoch_of_visit] * self.lean
        new_slope, _ = self._slopes(effect)
        rate = np.exp(self.beta) + move[self.epoch]
        fine = group_sum((rate <= 0) * 1.0, self.epoch, self.epochs) == 0
        beta = np.log(np.where(rate > 0, rate, 1.0))
        # a density in the rate, not its logarithm: hence - beta
        gain = self._density(beta, new_slope) - beta
        gain -= self._density(self.beta, slope) - self.beta
        squares = -0.5 * (effect**2 - self.effect**2) / self.effect_variance
        total = group_sum(gain, self.epoch, self.epochs)
        total += group_sum(squares * self.real, self.epoch_of_visit, self.epochs)
        yes = fine & self._accept(total)
        self.accepted[2] += yes
        self.beta = np.where(yes[self.epoch], beta, self.beta)
        self.effect = np.where(yes[self.epoch_of_visit], effect, self.effect)

    def _draw_effects(self, rate: np.ndarray, start: np.ndarray) -> None:
        line = np.repeat(start, self.counts)
        line += np.repeat(rate, self.counts) * self.fleet.years
        pulled = self.seen_weight * (self.fleet.level_mm - line)
        pulled = group_sum(pulled, self.visit, self.visits)
        noise = self.rng.standard_normal(self.visits) / np.sqrt(self.effect_precision)
        self.effect = pulled / self.effect_precision + noise

    def _draw_means(self) -> None:
        spread = self.ts[self.class_of_epoch] ** 2
        members = np.bincount(self.epoch, minlength=self.epochs)
        precision = members / spread + 1 / self.te**2
        pull = group_sum(self.beta, self.epoch, self.epochs) / spread
        pull += self.machine_mean[self.machine] / self.te**2
        noise = self.rng.standard_normal(self.epochs) / np.sqrt(precision)
        self.epoch_mean = pull / precision + noise
        between = np.array([c.installation_sd for c in CLASSES]) ** 2
        between = between[self.fleet.class_of_machine]
        count = np.bincount(self.machine, minlength=self.machines)
        precision = count / between + 1 / self.tm**2
        pull = group_sum(self.epoch_mean, self.machine, self.machines) / between
        pull += self.mean[self.fleet.class_of_machine] / self.tm**2
        noise = self.rng.standard_normal(self.machines) / np.sqrt(precision)
        self.machine_mean = pull / precision + noise

    def tune(self) -> None:
        """Steer acceptance to 0.4 (while burning in only)."""
        steps = (self.step, self.whole_step, self.trend_step)
        for step, accepted in zip(steps, self.accepted, strict=True):
            step *= np.clip(np.exp(accepted / 40 - 0.4), 0.7, 1.4)
            accepted[:] = 0


def quantiles(fleet: Fleet, *, seed: int = 0, sweeps: int = SWEEPS) -> np.ndarray:
    """Return posterior quantiles (19, S) of the years left, by so many sweeps."""
    chain = Sampler(fleet, seed)
    last = fleet.years[chain.starts + chain.counts - 1]
    kept = []
    for number in range(sweeps):
        rate, start = chain.sweep()
        if number < BURN and number % 40 == 39:
            chain.tune()
        if number >= BURN and number % THIN == 0:
            kept.append(((fleet.limit_mm - start) / rate - last).astype(np.float32))
    return np.quantile(np.array(kept), calibration.PROBABILITIES, axis=0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("seeds", type=int, nargs="+")
    stored = {"groups": GROUPS, "sweeps": SWEEPS, "crps": {}, "coverage80": {}}
    if calibration.ORACLE.exists():
        stored = json.loads(calibration.ORACLE.read_text())
    for seed in parser.parse_args().seeds:
        fleet = fleets.make_fleet(seed=seed, groups=GROUPS, law="linear")
        exact = quantiles(fleet)
        current = np.flatnonzero(fleet.current & (fleet.visits_of_series >= 1))
        score = calibration.scored(exact[:, current], fleet.remaining_years[current])
        stored["crps"][str(seed)] = round(score["crps"], 5)
        stored["coverage80"][str(seed)] = round(score["coverage80"], 4)
        calibration.ORACLE.write_text(json.dumps(stored, indent=1) + "\n")


if __name__ == "__main__":
    main()
