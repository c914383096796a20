"""Many machines followed at once, draw by draw, from one work to the next.

Work is done when people are told to plan it: on the planning date as they know the
wear by then, and no sooner than its lead time after the first day. Where a limit is
reached before, it is ordered that day at the latest, and the machine stands until then.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inspections.decisions.future.answers import KINDS, NUMBER
from inspections.decisions.future.groups import Followed, Future, Groups, Integers
from inspections.decisions.future.knowing import Floats
from inspections.decisions.future.lives import NEVER, Ends
from inspections.decisions.future.wearing import EndsTogether, groups_renewed
from inspections.decisions.records import OptionKind

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
class Works:
    """Works done (W,): which machine, which draw, in how many years, which kind.

    stood : years the machine stood before it, NaN where no lead time says how long
    """

    row: Integers
    draw: Integers
    years: Floats
    kind: Integers
    stood: Floats


class Following:
    """What runs on each machine (M) in each draw (N), in years from the first day."""

    def __init__(self, followed: Followed) -> None:
        futures, thresholds = followed.futures, followed.thresholds
        self._futures, self._draws = futures, followed.deviates.draws
        self._groups = Groups(followed)
        self._together = thresholds.value("together_years")
        self._new_cuts = int(thresholds.value("cuts_of_new_sheave"))
        shape = (len(futures), self._draws)
        self._lead = np.array([_leads(each) for each in futures])
        self._cuts = np.empty(shape, dtype=np.int64)
        self._cuts[:] = np.array([each.answers.cuts for each in futures])[:, None]
        self._cut = _numbers([each.answers.cut for each in futures])
        self._renewal = _numbers([each.answers.renewal for each in futures])
        self._choose(shape)
        by_group = (len(EndsTogether), *shape)
        self._segment = np.zeros(by_group, dtype=np.int64)
        self._began, self._by = np.zeros(by_group), np.full(by_group, -1)
        self._ends, self._met = np.empty(by_group), np.empty(by_group)
        self._stops = np.empty(by_group)
        self._counted = np.zeros(shape)
        self._unknown = np.zeros(by_group, dtype=np.bool_)
        rows, draws = (each.ravel() for each in np.indices(shape))
        for group in EndsTogether:
            first = self._groups.first(group)
            ends = Ends(
                met=first.met.ravel(),
                stops=first.stops.ravel(),
                planned=first.planned.ravel(),
            )
            self._begin(group, rows, draws, np.zeros(rows.size), ends)
        self._stand()
        self._bring_forward(*np.nonzero(self._pending))

    def works(self, horizon_years: float) -> Iterator[Works]:
        """Yield all works before the horizon, in batches.

        Groups that are due within `together_years` are renewed at the same stop. A
        chosen work is done on its day, or as soon as it can come after a limit of what
        it renews is reached.

        Raises ArithmeticError for more works than a horizon can hold.
        """
        yield from self._aside(horizon_years)
        for _ in range(MOST_WORKS):
            works = self._step(horizon_years)
            if not works.row.size:
                return
            yield works
        raise ArithmeticError(
            f"a draw asks for more than {MOST_WORKS} works in {horizon_years:g} years"
        )

    def standing(self, horizon_years: float) -> Floats:
        """Return years (M, N) stood by the horizon that wait for a work after it."""
        since = np.maximum(self._stops.min(axis=0), self._counted)
        found: Floats = np.maximum(horizon_years - since, 0.0)
        return found

    def left(self, horizon_years: float) -> tuple[Integers, Floats]:
        """Return by which kind each group was last renewed, and what is left of it.

        Shares (groups, M, N) of the time from that work to the next as planned, at the
        horizon; 0 and a kind of -1 where nothing renewed it, and 0 where nobody knows
        how long it lasts.
        """
        known = (self._by >= 0) & (self._ends < NEVER)
        whole = np.where(known, self._ends - self._began, 1.0)
        share = (self._ends - horizon_years) / np.maximum(whole, 1e-9)
        return self._by, np.where(known, np.clip(share, 0.0, 1.0), 0.0)

    def _choose(self, shape: tuple[int, int]) -> None:
        self._chosen = _numbers([each.chosen for each in self._futures])
        self._day = np.array([max(each.chosen_years, 0.0) for each in self._futures])
        lead = self._lead[np.arange(len(self._futures)), self._chosen]
        self._soonest = np.minimum(np.nan_to_num(lead), self._day)
        self._pending = np.empty(shape, dtype=np.bool_)
        renewing = (self._chosen >= 0) & _RENEWS[self._chosen].any(axis=1)
        self._pending[:] = renewing[:, None]

    def _stand(self) -> None:
        """Let what a chosen work renews be beyond on machines that stand now."""
        for row, future in enumerate(self._futures):
            if future.stands and future.chosen is not None:
                for group in groups_renewed(future.chosen):
                    self._stops[group, row] = 0.0

    def _aside(self, horizon_years: float) -> Iterator[Works]:
        """Yield chosen works that renew nothing, such as equalising."""
        draws = np.arange(self._draws)
        for row, future in enumerate(self._futures):
            kind = future.chosen
            if kind is None or not kind.is_work or groups_renewed(kind):
                continue
            if self._day[row] < horizon_years:
                stood = self._day[row] if future.stands else 0.0
                self._counted[row] = stood
                yield Works(
                    row=np.full(draws.size, row),
                    draw=draws,
                    years=np.full(draws.size, self._day[row]),
                    kind=np.full(draws.size, NUMBER[kind]),
                    stood=np.full(draws.size, stood),
                )

    def _step(self, horizon_years: float) -> Works:
        """Do the next work of every draw that has one before the horizon."""
        first = np.argmin(self._ends, axis=0)
        years = np.min(self._ends, axis=0)
        row, draw = np.nonzero(years < horizon_years)
        at, group = years[row, draw], first[row, draw]
        kind = self._kind(row, draw, at, group)
        stood = self._stood(row, draw, at, kind)
        self._renew(row, draw, at, kind)
        return Works(row=row, draw=draw, years=at, kind=kind, stood=stood)

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

    def _stood(
        self, row: Integers, draw: Integers, at: Floats, kind: Integers
    ) -> Floats:
        """Return how long a machine stood before its work, no day of it twice."""
        stops = np.where(_RENEWS[kind].T, self._stops[:, row, draw], NEVER)
        since = np.maximum(stops.min(axis=0), self._counted[row, draw])
        stood = np.maximum(at - since, 0.0)
        waited = stood > 0.0
        self._counted[row[waited], draw[waited]] = at[waited]
        unknown = ((stops <= at) & self._unknown[:, row, draw]).any(axis=0)
        return np.where(unknown, np.nan, stood)

    def _renew(self, row: Integers, draw: Integers, at: Floats, kind: Integers) -> None:
        cut, new = _IS_CUT[kind], _IS_NEW[kind]
        self._cuts[row[cut], draw[cut]] -= 1
        self._cuts[row[new], draw[new]] = np.where(
            self._cut[row[new]] >= 0, self._new_cuts, 0
        )
        for group in EndsTogether:
            hit = _RENEWS[kind, group]
            r, n, then = row[hit], draw[hit], at[hit]
            self._segment[group, r, n] += 1
            self._by[group, r, n] = kind[hit]
            life = self._groups.life(group, self._segment[group, r, n], r, n)
            self._begin(group, r, n, then, life)
        chosen = self._chosen[row]
        covered = (_RENEWS[kind] >= _RENEWS[chosen]).all(axis=1)
        self._pending[row[covered], draw[covered]] = False
        still = self._pending[row, draw]
        self._bring_forward(row[still], draw[still])

    def _begin(
        self, group: EndsTogether, row: Integers, draw: Integers, at: Floats, ends: Ends
    ) -> None:
        """Let a group run from a day on: when its work is done, and when it stops."""
        known = self._lead[row, self._answer(group, row, draw)]
        lead = np.nan_to_num(known)
        planned = np.maximum(ends.planned, lead)
        ordered_late = np.minimum(planned, ends.met + lead)
        done = np.where(ends.met < planned, ordered_late, planned)
        self._began[group, row, draw] = at
        self._ends[group, row, draw] = at + done
        self._met[group, row, draw] = at + ends.met
        self._stops[group, row, draw] = at + ends.stops
        self._unknown[group, row, draw] = np.isnan(known) & (ends.stops < planned)

    def _answer(self, group: EndsTogether, row: Integers, draw: Integers) -> Integers:
        """Return the kind of work that answers one group alone."""
        if group is EndsTogether.SEATS:
            cutting = self._cuts[row, draw] > 0
            return np.where(cutting, self._cut[row], self._renewal[row])
        ropes = group is EndsTogether.ROPES
        return np.full(row.shape, _RE_ROPE if ropes else _SHORTEN)

    def _bring_forward(self, row: Integers, draw: Integers) -> None:
        """Let what a pending work renews wait for its day, if it is due shortly before.

        A limit that is reached sooner brings the work as soon as it can be ordered.
        """
        day, soonest = self._day[row], self._soonest[row]
        lead = np.nan_to_num(self._lead[row, self._chosen[row]])
        for group in EndsTogether:
            hit = _RENEWS[self._chosen[row], group]
            r, n = row[hit], draw[hit]
            told, met = self._ends[group, r, n], self._met[group, r, n]
            ends = np.minimum(met + lead[hit], day[hit])
            self._ends[group, r, n] = np.where(
                told >= day[hit] - self._together,
                np.maximum(ends, soonest[hit]),
                told,
            )


def _leads(future: Future) -> Sequence[float]:
    return [future.lead_years.get(kind, np.nan) for kind in KINDS]


def _numbers(kinds: Sequence[OptionKind | None]) -> Integers:
    """Return the kinds' numbers; -1 for none."""
    return np.array([-1 if kind is None else NUMBER[kind] for kind in kinds])
