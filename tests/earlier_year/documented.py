"""Which differences from an earlier version are meant, and where they are told.

Each is told in `docs/changelog.md`. None is a better grade: what the rules know less of
than they thought never makes a machine look better.
"""

from collections.abc import Mapping
from dataclasses import dataclass

# From the calmest to the most urgent: what is not known is no comfort.
_CALMEST_FIRST = ("IN_ORDER", "KEEP_AN_EYE_ON", "NOT_ASSESSED", "PLAN_WORK", "ACT_NOW")
_OPEN = ("NOT_ASSESSED",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What one version found at a place and the other did not.

    Without a topic it is the grade of the machine.
    """

    machine: str
    topic: str = ""
    place: str = ""
    was: tuple[str, ...]
    now: tuple[str, ...]

    @property
    def text(self) -> str:
        """The difference on a line."""
        about = ", ".join(filter(None, (self.machine, self.topic, self.place)))
        return f"{about}: {' '.join(self.was) or '-'} -> {' '.join(self.now) or '-'}"

    @property
    def is_better(self) -> bool:
        """Whether the place looks better than it did, or nothing is said of it."""
        return not self.now or _worst(self.now) < _worst(self.was)


# What an earlier version did not look at, and looks at now.
_LOOKED_AT: Mapping[str, str] = {
    "broken wires": "few strands are tested for every total of broken wires",
    "rouge most": "how a rope looks is judged",
    "dryness most": "how a rope looks is judged",
    "pair of grooves": "every pair is named where masses are not known",
    "rope tension": "a spread of tensions is told wherever it was read",
    "step between crowns": "steps between crowns are judged by evidence",
}
_LEAST_SET = "of a machine nothing is said without the least set of checks"
_EACH_PLACE = "each place is answered for over what the register lacks"
_BY_RECORD = "a word that nothing slipped decides nothing under a borrowed method"


def reason_of(difference: Difference) -> str:
    """Return why a difference is meant, "" where nothing says so."""
    if difference.is_better:
        return ""
    if not difference.topic:
        return _LEAST_SET if difference.now == _OPEN else ""
    if difference.topic == "traction":
        why = _BY_RECORD if difference.was else _EACH_PLACE
        return why if difference.now == _OPEN else ""
    return _LOOKED_AT.get(difference.topic, "")


def _worst(grades: tuple[str, ...]) -> int:
    return max(map(_CALMEST_FIRST.index, grades), default=-1)
