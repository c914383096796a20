"""When the groups of many machines end, drawn once for each machine and segment."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from inspections.decisions.future import coming, lives
from inspections.decisions.future.answers import Answers
from inspections.decisions.future.coming import PlacesToCome
from inspections.decisions.future.deviates import Deviates
from inspections.decisions.future.knowing import Floats, Measurable
from inspections.decisions.future.lives import Ends
from inspections.decisions.future.wearing import EndsTogether
from inspections.decisions.records import AheadLimit, OptionKind, Thresholds

Integers = NDArray[np.int64]
Flags = NDArray[np.bool_]


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
        keys = [future.machine_key for future in followed.futures]
        # Options of one machine are futures of one key, and have the same draws.
        self._first_of = np.array([keys.index(key) for key in keys], dtype=np.int64)
        self._drawn: dict[tuple[EndsTogether, int], tuple[Floats, Flags]] = {}
        self._to_come: dict[tuple[EndsTogether, int], PlacesToCome | None] = {}

    def first(self, group: EndsTogether) -> Ends:
        """Return when what runs now ends (M, N), in years from the first day."""
        met, stops, planned = self._ends(group, 0, np.arange(len(self._futures)))
        return Ends(met=met, stops=stops, planned=planned)

    def life(
        self, group: EndsTogether, segments: Integers, row: Integers, draw: Integers
    ) -> Ends:
        """Return how long parts run (W,) that follow as the first, the second, ...."""
        found = np.empty((3, *segments.shape))
        for segment in np.unique(segments):
            hit = segments == segment
            ends = self._ends(group, int(segment), np.unique(row[hit]))
            found[:, hit] = ends[:, self._first_of[row[hit]], draw[hit]]
        return Ends(met=found[0], stops=found[1], planned=found[2])

    def _ends(self, group: EndsTogether, segment: int, rows: Integers) -> Floats:
        """Return met, stops, planned (3, M, N), drawn for these rows at least.

        Few draws come to a late segment: only machines that do are drawn for it.
        """
        if (group, segment) not in self._drawn:
            shape = (3, len(self._futures), self._deviates.draws)
            none = np.zeros(len(self._futures), dtype=np.bool_)
            self._drawn[group, segment] = (np.empty(shape), none)
        found, is_drawn = self._drawn[group, segment]
        for row in np.unique(self._first_of[rows]):
            if not is_drawn[row]:
                ends = self._draw(int(row), group, segment)
                found[:, row] = ends.met, ends.stops, ends.planned
                is_drawn[row] = True
        return found if segment else found[:, self._first_of]

    def _draw(self, row: int, group: EndsTogether, segment: int) -> Ends:
        future = self._futures[row]
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
        if (group, row) not in self._to_come:
            self._to_come[group, row] = coming.places_to_come(
                limits=future.limits[group],
                deviates=self._deviates,
                unevenness=self._unevenness,
                lead_years=lead_years,
            )
        return coming.later_ends(
            places=self._to_come[group, row],
            machine_key=future.machine_key,
            segment=segment,
            deviates=self._deviates,
        )


def _answer(answers: Answers, group: EndsTogether) -> OptionKind:
    """Return the work that a group's planning date is told for."""
    if group is EndsTogether.SEATS:
        return answers.cut or answers.renewal
    ropes = group is EndsTogether.ROPES
    return OptionKind.RE_ROPE if ropes else OptionKind.SHORTEN
