"""Is the limit met before the planning date, with the whole life of a machine read?

Four grooves of known installation are read twice a year, to the last visit before the
first of them meets its limit. Most of their class wears evenly; they may not.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace

import numpy as np

from inspections.projection import guarding, hyper, planning, series
from inspections.projection.hierarchy import Hierarchy
from inspections.projection.hyper import ClassHyperparameters
from inspections.projection.learning.learn import learn
from inspections.projection.limits import Limits
from tests.benchmarks import fleets

KINDS = ("theta 1.5", "t^1.8", "x3 at a depth", "even")
GROOVES = 4
EVERY_YEARS = 0.5
LONGEST_YEARS = 60.0
CHANGE_SHARES = (0.5, 0.8)
"""The rate becomes three times what it was at a depth between these, as a share of the
limit."""
LONGEST_RECORD_YEARS = 12.0
EVEN_TO_SPEEDING = 9
WEAR = fleets.CLASSES[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lives:
    """Machines of four grooves: arguments of ``plan``, and years to the limit (S,)."""

    arguments: dict
    remaining_years: np.ndarray
    change_mm: np.ndarray

    @property
    def machines(self) -> int:
        return self.remaining_years.size // GROOVES


def level_mm(kind: str, even_mm: np.ndarray, change_mm: float) -> np.ndarray:
    """Return the level where a groove that wears evenly would be at ``even_mm``.

    Rates begin at the same value, but for the power law, which has the same life.
    """
    limit = WEAR.limit_mm
    z = even_mm / limit
    if kind == "theta 1.5":
        return -limit * np.log(np.maximum(1.0 - 1.5 * z, 1e-9)) / 1.5
    if kind.startswith("t^"):
        return limit * z ** float(kind.removeprefix("t^"))
    if kind == "x3 at a depth":
        return even_mm + 2.0 * np.maximum(even_mm - change_mm, 0.0)
    return even_mm


def made(rng: np.random.Generator, kinds: list[str], *, to_last_visit: bool) -> Lives:
    """Return one machine of each kind, read to its last visit or to a random day."""
    rows: list[tuple[int, float, float, bool, int]] = []
    remaining, changes = [], []
    visit = 0
    grid = np.arange(0.0, LONGEST_YEARS, 0.01)
    for number, kind in enumerate(kinds):
        machine = WEAR.machine_sd * rng.standard_normal()
        installation = WEAR.installation_sd * rng.standard_normal()
        spread = WEAR.series_sd * rng.standard_normal(GROOVES)
        rate = WEAR.median_mm_per_year * np.exp(machine + installation + spread)
        change_mm = WEAR.limit_mm * float(rng.uniform(*CHANGE_SHARES))
        paths = level_mm(kind, rate[:, None] * grid, change_mm)
        met = np.array([np.searchsorted(path, WEAR.limit_mm) for path in paths])
        met_years = 0.01 * np.minimum(met, grid.size)
        until = float(met_years.min())
        if not to_last_visit:
            until = min(until, float(rng.uniform(0.6, LONGEST_RECORD_YEARS)))
        first = float(rng.uniform(0.0, EVERY_YEARS))
        times = np.arange(first, until, EVERY_YEARS)
        if times.size == 0:
            times = np.array([0.5 * until])
        true = np.array([np.interp(times, grid, path) for path in paths])
        share = np.sqrt(fleets.VISIT_SHARE) * rng.standard_normal(times.size)
        own = np.sqrt(1 - fleets.VISIT_SHARE) * rng.standard_normal(true.shape)
        read = true + WEAR.noise_mm * (share[None] + own)
        read = np.round(read / WEAR.step_mm) * WEAR.step_mm
        for groove in range(GROOVES):
            at = GROOVES * number + groove
            rows.append((at, 0.0, 0.0, True, visit))
            rows += [
                (at, float(t), float(y), False, visit + 1 + k)
                for k, (t, y) in enumerate(zip(times, read[groove], strict=True))
            ]
        visit += times.size + 1
        remaining.append(met_years - times[-1])
        changes += GROOVES * [change_mm if kind == KINDS[2] else np.nan]
    of, clock, level, installed, visits = map(np.array, zip(*rows, strict=True))
    count = GROOVES * len(kinds)
    noise = float(np.hypot(WEAR.noise_mm, WEAR.step_mm / np.sqrt(12)))
    found = series.arrange(
        series=of,
        clock=clock,
        level_mm=level,
        noise_mm=np.where(installed, WEAR.tolerance_mm, noise),
        visit=visits,
        installation=installed,
        series_count=count,
    )
    machines = np.arange(len(kinds))
    arguments = {
        "readings": found.readings,
        "hierarchy": Hierarchy(
            epoch_of_series=np.repeat(machines, GROOVES),
            machine_of_epoch=machines,
            class_of_machine=np.zeros(len(kinds), dtype=int),
        ),
        "limits": Limits(
            limit_mm=np.full(count, WEAR.limit_mm), limit_sd_mm=np.zeros(count)
        ),
        "known_installation": np.ones(count, dtype=bool),
    }
    return Lives(
        arguments=arguments,
        remaining_years=np.concatenate(remaining),
        change_mm=np.array(changes),
    )


def assumed() -> ClassHyperparameters:
    """Return what a class without a fleet is forecast with."""
    return hyper.starting(rate_per_clock=np.array([1.4 * WEAR.median_mm_per_year]))


def first_class(learnt: ClassHyperparameters) -> ClassHyperparameters:
    """Return what was learnt of the class whose last visits are judged."""
    return ClassHyperparameters(
        **{each.name: getattr(learnt, each.name)[:1] for each in fields(learnt)}
    )


def nine_to_one(rng: np.random.Generator, machines: int, kind: str) -> Lives:
    """Return a fleet of which one machine in ten is of the kind."""
    kinds = [
        kind if number % (EVEN_TO_SPEEDING + 1) == 0 else "even"
        for number in range(machines)
    ]
    return made(rng, kinds, to_last_visit=False)


def classes(
    rng: np.random.Generator,
    kind: str,
    *,
    sizes: tuple[int, ...],
    mixed: ClassHyperparameters,
) -> Iterator[tuple[str, ClassHyperparameters]]:
    """Yield what has been learnt of the class, from which fleet."""
    for size in sizes:
        fleet = nine_to_one(rng, size, "theta 1.5" if kind == "even" else kind)
        yield f"9 even : 1 ({size})", learn(**fleet.arguments, hyper=assumed())
    yield "generator's mix (75)", mixed
    yield "no fleet, assumed", assumed()


def earliest(per_series: np.ndarray) -> np.ndarray:
    """Return the least of each machine's four grooves (M,)."""
    return per_series.reshape(-1, GROOVES).min(axis=1)


def planned(lives: Lives, learnt: ClassHyperparameters) -> np.ndarray:
    """Return (3, M) the day each machine is planned by [years from the last visit]: by
    the curve, guarded, and guarded where the depth of a change is in the register."""
    case = planning.Planned(**lives.arguments, probabilities=(0.02,))
    curve = planning.plan(case, hyper=learnt)
    known = replace(case, layer_mm=lives.change_mm)
    return np.stack(
        [
            earliest(curve[0]),
            *(
                earliest(guarding.guard(each, planned=curve, hyper=learnt).years[0])
                for each in (case, known)
            ),
        ]
    )
