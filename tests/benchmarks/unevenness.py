"""How uneven is wear of a known rate? ``python -m tests.benchmarks.unevenness``

Budget and comparison take that of a life whose rate is known a spread c stays open
(``wear_unevenness``). Here c is what gives the distance from P50 to P2 that forecasts
have, place by place, in the fleets of ``calibration``: parts of known installation with
four visits and more, taught by another fleet of the law. The figures need no quiet
machine.
"""

import argparse
import json
import sys
import time

import numpy as np

from inspections.decisions.future import knowing
from inspections.projection import forecasting
from tests.benchmarks import calibration, fleets, planned_dates

LAWS = ("linear", "accel", "jump", "drift", "gamma", "mix")
GROUPS = 400
QUICK_GROUPS = 60
FEWEST_VISITS = 4
GRID = np.linspace(0.01, 0.6, 60)


def of_law(*, law: str, seed: int, groups: int) -> dict[str, float]:
    """Return P25, P50 and P75 of c over places, and how many places tell."""
    teaching = fleets.make_fleet(seed=seed + 500_000, groups=groups, law=law)
    learnt = planned_dates.learnt_from(teaching, on_usage=False)
    fleet = fleets.make_fleet(seed=seed, groups=groups, law=law)
    arguments = calibration.arranged(fleet, clock=fleet.years)
    early, middle = forecasting.forecast(
        **arguments,
        hyper=learnt,
        horizon_years=np.ones(fleet.counts.size),
        probabilities=(0.02, 0.5),
    ).quantiles_years
    elapsed = fleet.years[np.cumsum(fleet.counts) - 1]
    told = fleet.current & fleet.known & (fleet.visits_of_series >= FEWEST_VISITS)
    told &= (early > 0.0) & np.isfinite(middle) & (middle < 60.0)
    rows = np.flatnonzero(told)
    life = (elapsed + middle)[rows]
    spread = np.sqrt(learnt.log_rate_variance)
    kind = arguments["hierarchy"].class_of_series[rows]
    found = unevenness(
        used=elapsed[rows] / life,
        distance=(middle - early)[rows] / life,
        spread=spread[kind],
    )
    low, mid, high = np.quantile(found, (0.25, 0.5, 0.75))
    return {
        "places": int(rows.size),
        "p25": round(float(low), 3),
        "median": round(float(mid), 3),
        "p75": round(float(high), 3),
    }


def unevenness(
    *, used: np.ndarray, distance: np.ndarray, spread: np.ndarray
) -> np.ndarray:
    """Return c of places (n,) from P50 to P2 as a share of their lives; to .01."""
    open_then = np.empty((GRID.size, used.size))
    for row, uneven in enumerate(GRID):
        for column, (passed, of_rate) in enumerate(zip(used, spread, strict=True)):
            learning = knowing.Learning(spread=of_rate, unevenness=uneven)
            open_then[row, column] = knowing.still_open(used=passed, learning=learning)
    miss = np.abs(knowing.P2 * np.sqrt(open_then) - distance)
    found: np.ndarray = GRID[np.argmin(miss, axis=0)]
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=9601)
    parser.add_argument("--laws", nargs="+", default=list(LAWS))
    parser.add_argument("--quick", action="store_true", help="small fleets: no figure")
    chosen = parser.parse_args()
    groups = QUICK_GROUPS if chosen.quick else GROUPS
    began = time.process_time()
    report: dict = {
        law: of_law(law=law, seed=chosen.seed, groups=groups) for law in chosen.laws
    }
    report["cpu_seconds"] = round(time.process_time() - began, 1)
    sys.stdout.write(json.dumps(report, indent=1) + "\n")


if __name__ == "__main__":
    main()
