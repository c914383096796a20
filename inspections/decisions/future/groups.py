"""When the groups of many machines end, drawn once for each machine and segment."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from inspections.decisions.future import lives
from inspections.decisions.future.answers import Answers
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.knowing import Measurable
from inspections.decisions.future.lives import Ends
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import AheadLimit, OptionKind, Thresholds

Integers = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Future:
    """One machine to be followed.

    chosen, chosen_years : work that is done first, and the years until then
    lead_years : from order to work by kind; a kind that is not in it is not known
    stands : the machine is out of service until the chosen work is done
    unknown : what could be measured, None where that is not asked
    """

    machine_key: int
    limits: Mapping[EndsTogether, tuple[AheadLimit, ...]]
    answers: Answers
    chosen: OptionKind | None = None
    chosen_years: float = 0.0
    lead_years: Mapping[OptionKind, float] = field(default_factory=dict)
    stands: bool = False
    unknown: Measurable | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """What is followed: futures of machines (M), draws, thresholds, the first day."""

    futures: Sequence[Future]
    deviates: Deviates
    thresholds: Thresholds
    as_of: date


class Groups:
    """The ends of each group of some machines (M) in each draw (N)."""

    def __init__(self, followed: Followed) -> None:
        self._futures, self._deviates = followed.futures, followed.deviates
        self._as_of = followed.as_of
        self._unevenness = followed.thresholds.value("wear_unevenness")
        self._known: dict[tuple[EndsTogether, int], Ends] = {}

    def first(self, group: EndsTogether) -> Ends:
        """Return when what runs now ends (M, N), in years from the first day."""
        return self._stacked(group, 0)

    def life(
        self, group: EndsTogether, segments: Integers, row: Integers, draw: Integers
    ) -> Ends:
        """Return how long parts run (W,) that follow as the first, the second, ...."""
        found = np.empty((3, *segments.shape))
        for segment in np.unique(segments):
            hit = segments == segment
            ends = self._stacked(group, int(segment))
            at = row[hit], draw[hit]
            found[:, hit] = ends.met[at], ends.stops[at], ends.planned[at]
        return Ends(met=found[0], stops=found[1], planned=found[2])

    def _stacked(self, group: EndsTogether, segment: int) -> Ends:
        if (group, segment) not in self._known:
            drawn: dict[int, Ends] = {}
            for future in self._futures:
                if future.machine_key not in drawn:
                    drawn[future.machine_key] = self._draw(future, group, segment)
            each = [drawn[future.machine_key] for future in self._futures]
            self._known[group, segment] = Ends(
                met=np.stack([ends.met for ends in each]),
                stops=np.stack([ends.stops for ends in each]),
                planned=np.stack([ends.planned for ends in each]),
            )
        return self._known[group, segment]

    def _draw(self, future: Future, group: EndsTogether, segment: int) -> Ends:
        lead_years = future.lead_years.get(_answer(future.answers, group), 0.0)
        if segment == 0:
            return lives.first_ends(
                limits=future.limits[group],
                machine_key=future.machine_key,
                deviates=self._deviates,
                as_of=self._as_of,
                unevenness=self._unevenness,
                lead_years=lead_years,
                unknown=future.unknown,
            )
        return lives.later_lives(
            limits=future.limits[group],
            machine_key=future.machine_key,
            segment=segment,
            deviates=self._deviates,
            unevenness=self._unevenness,
            lead_years=lead_years,
        )


def _answer(answers: Answers, group: EndsTogether) -> OptionKind:
    """Return the work that a group's planning date is told for."""
    if group is EndsTogether.SEATS:
        return answers.cut or answers.renewal
    ropes = group is EndsTogether.ROPES
    return OptionKind.RE_ROPE if ropes else OptionKind.SHORTEN
