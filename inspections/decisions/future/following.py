"""Many machines followed at once, draw by draw, from one work to the next."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from inspections.decisions.future import lives
from inspections.decisions.future.answers import KINDS, NUMBER, Answers
from inspections.decisions.future.lives import Deviates, Floats
from inspections.decisions.future.wearing import EndsTogether, groups_renewed
from inspections.decisions.records import AheadLimit, OptionKind, Thresholds

Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]
MOST_WORKS = 400
"""Works of one draw; more than the horizon can hold at the shortest life."""

_RENEWS = np.array(
    [[group in groups_renewed(kind) for group in EndsTogether] for kind in KINDS]
)
_IS_CUT = np.array([kind.is_cut for kind in KINDS])
_IS_NEW = np.array([kind.renews_grooves and not kind.is_cut for kind in KINDS])
_RE_ROPE, _SHORTEN = NUMBER[OptionKind.RE_ROPE], NUMBER[OptionKind.SHORTEN]


@dataclass(frozen=True, slots=True, kw_only=True)
class Future:
    """One machine to be followed.

    chosen, chosen_years : work that is done first, and the years until then
    """

    machine_key: int
    limits: Mapping[EndsTogether, tuple[AheadLimit, ...]]
    answers: Answers
    chosen: OptionKind | None = None
    chosen_years: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Works:
    """Works done (W,): which machine, which draw, in how many years, which kind."""

    row: Integers
    draw: Integers
    years: Floats
    kind: Integers


def follow(
    *,
    futures: Sequence[Future],
    horizon_years: float,
    deviates: Deviates,
    thresholds: Thresholds,
    as_of: date,
) -> Iterator[Works]:
    """Yield all works before the horizon, in batches.

    What has run out is renewed that day. Groups that are due within `together_years`
    are renewed at the same stop. A chosen work is done on its day, or when what it
    renews runs out shortly before.
    """
    state = _State(futures, deviates, thresholds, as_of)
    yield from state.aside(horizon_years)
    for _ in range(MOST_WORKS):
        works = state.step(horizon_years)
        if not works.row.size:
            return
        yield works
    raise ArithmeticError(
        f"a draw asks for more than {MOST_WORKS} works in {horizon_years:g} years"
    )


class _State:
    """What runs on each machine (M) in each draw (N), in years from the first day."""

    def __init__(
        self,
        futures: Sequence[Future],
        deviates: Deviates,
        thresholds: Thresholds,
        as_of: date,
    ) -> None:
        self._futures, self._deviates, self._as_of = futures, deviates, as_of
        self._together = thresholds.value("together_years")
        self._spread = thresholds.value("rate_spread")
        self._new_cuts = int(thresholds.value("cuts_of_new_sheave"))
        shape = (len(futures), deviates.draws)
        self._lives: dict[tuple[EndsTogether, int], Floats] = {}
        self._segment = np.zeros((len(EndsTogether), *shape), dtype=np.int64)
        self._cuts = np.empty(shape, dtype=np.int64)
        self._cuts[:] = np.array([each.answers.cuts for each in futures])[:, None]
        self._cut = _numbers([each.answers.cut for each in futures])
        self._renewal = _numbers([each.answers.renewal for each in futures])
        self._chosen = _numbers([each.chosen for each in futures])
        self._day = np.array([max(each.chosen_years, 0.0) for each in futures])
        self._pending = np.empty(shape, dtype=np.bool_)
        renewing = (self._chosen >= 0) & _RENEWS[self._chosen].any(axis=1)
        self._pending[:] = renewing[:, None]
        self._ends = np.stack([self._first(group) for group in EndsTogether])
        self._bring_forward(*np.nonzero(self._pending))

    def aside(self, horizon_years: float) -> Iterator[Works]:
        """Yield chosen works that renew nothing, such as equalising."""
        draws = np.arange(self._deviates.draws)
        for row, future in enumerate(self._futures):
            kind = future.chosen
            if kind is None or not kind.is_work or groups_renewed(kind):
                continue
            if self._day[row] < horizon_years:
                yield Works(
                    row=np.full(draws.size, row),
                    draw=draws,
                    years=np.full(draws.size, self._day[row]),
                    kind=np.full(draws.size, NUMBER[kind]),
                )

    def step(self, horizon_years: float) -> Works:
        """Do the next work of every draw that has one before the horizon."""
        first = np.argmin(self._ends, axis=0)
        years = np.min(self._ends, axis=0)
        row, draw = np.nonzero(years < horizon_years)
        at, group = years[row, draw], first[row, draw]
        kind = self._kind(row, draw, at, group)
        self._renew(row, draw, at, kind)
        return Works(row=row, draw=draw, years=at, kind=kind)

    def _kind(
        self, row: Integers, draw: Integers, at: Floats, group: Integers
    ) -> Integers:
        soon = self._ends[:, row, draw] <= at + self._together
        ropes = soon[EndsTogether.ROPES] | (group == EndsTogether.ROPES)
        seats = soon[EndsTogether.SEATS] | (group == EndsTogether.SEATS)
        cutting = self._cuts[row, draw] > 0
        grooves = np.where(cutting, self._cut[row], self._renewal[row])
        kind = np.where(seats, grooves, np.where(ropes, _RE_ROPE, _SHORTEN))
        chosen = self._chosen[row]
        due = self._pending[row, draw] & _RENEWS[chosen, group]
        due &= at >= self._day[row] - self._together
        return np.where(due, chosen, kind)

    def _renew(self, row: Integers, draw: Integers, at: Floats, kind: Integers) -> None:
        for group in EndsTogether:
            hit = _RENEWS[kind, group]
            r, n, then = row[hit], draw[hit], at[hit]
            self._segment[group, r, n] += 1
            self._ends[group, r, n] = then + self._life(group, r, n)
        cut, new = _IS_CUT[kind], _IS_NEW[kind]
        self._cuts[row[cut], draw[cut]] -= 1
        self._cuts[row[new], draw[new]] = np.where(
            self._cut[row[new]] >= 0, self._new_cuts, 0
        )
        chosen = self._chosen[row]
        covered = (_RENEWS[kind] >= _RENEWS[chosen]).all(axis=1)
        self._pending[row[covered], draw[covered]] = False
        still = self._pending[row, draw]
        self._bring_forward(row[still], draw[still])

    def _bring_forward(self, row: Integers, draw: Integers) -> None:
        """Let what a pending work renews end on its day at the latest."""
        for group in EndsTogether:
            hit = _RENEWS[self._chosen[row], group]
            r, n = row[hit], draw[hit]
            self._ends[group, r, n] = np.minimum(self._ends[group, r, n], self._day[r])

    def _first(self, group: EndsTogether) -> Floats:
        known: dict[int, Floats] = {}
        for future in self._futures:
            if future.machine_key not in known:
                known[future.machine_key] = lives.first_ends(
                    limits=future.limits[group],
                    machine_key=future.machine_key,
                    deviates=self._deviates,
                    as_of=self._as_of,
                )
        return np.stack([known[future.machine_key] for future in self._futures])

    def _life(self, group: EndsTogether, row: Integers, draw: Integers) -> Floats:
        segments = self._segment[group, row, draw]
        found = np.empty(segments.shape)
        for segment in np.unique(segments):
            hit = segments == segment
            found[hit] = self._of_segment(group, int(segment))[row[hit], draw[hit]]
        return found

    def _of_segment(self, group: EndsTogether, segment: int) -> Floats:
        if (group, segment) not in self._lives:
            known: dict[int, Floats] = {}
            for future in self._futures:
                if future.machine_key not in known:
                    known[future.machine_key] = lives.later_lives(
                        limits=future.limits[group],
                        machine_key=future.machine_key,
                        segment=segment,
                        deviates=self._deviates,
                        spread=self._spread,
                    )
            self._lives[group, segment] = np.stack(
                [known[future.machine_key] for future in self._futures]
            )
        return self._lives[group, segment]


def _numbers(kinds: Sequence[OptionKind | None]) -> Integers:
    """Return the kinds' numbers; -1 for none."""
    return np.array([-1 if kind is None else NUMBER[kind] for kind in kinds])
