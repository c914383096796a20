"""What the service says of machines: the one place where its answers are read.

`beyond`, `within` and `open` of each criterion at each place, how bad the machine's
state is, what stops it, and the planning dates.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from fleet.platform.database.tenancy import Scope
from inspections import models, queries
from inspections.models import Finding, Grade

BEYOND, OPEN, WITHIN = "beyond", "open", "within"
_RANK = {WITHIN: 0, OPEN: 1, BEYOND: 2}
# The order of the states, from the best.
STATES = ("in order", "monitor", "not known", "plan work", "act now", "stopped")
_OF_GRADE = {
    Grade.IN_ORDER: "in order",
    Grade.KEEP_AN_EYE_ON: "monitor",
    Grade.NOT_ASSESSED: "not known",
    Grade.PLAN_WORK: "plan work",
    Grade.ACT_NOW: "act now",
}
# These tell of the set or of the gauge, never of the machine.
_NOT_OF_THE_MACHINE = ("gaps of the criteria set", "gauge calibration")
# These ask whether readings fit each other; they are answered by fewer of them, too.
_QUESTIONS = ("ways of measuring the seat", "register against readings")
TRACTION, TRACTION_TEST = "traction", "traction test"
# Whose place is that of the worst reading.
_OF_THE_WORST = ("levelling",)

# Asked for where a cut is planned, or of what the family has no limit: no part of the
# checks that a complete machine is decided by.
_NOT_ASKED = ("room for a cut", "date of the least metal")
_NO_LIMIT = "has no limit for"

Place = tuple[str, str]


@dataclass(slots=True, kw_only=True)
class Standing:
    """What is said of one machine at one time."""

    verdicts: dict[Place, str] = field(default_factory=dict)
    state: int = 0
    stops: set[Place] = field(default_factory=set)
    dates: dict[Place, date | None] = field(default_factory=dict)
    unsaid: list[str] = field(default_factory=list)
    # Topics that are open although they are part of what is asked of a machine.
    undecided: set[str] = field(default_factory=set)

    def at(self, topic: str, place: str) -> str | None:
        return self.verdicts.get((topic, place))


def read(*, scope: Scope, machine_ids: Iterable[int]) -> Mapping[int, Standing]:
    """Return what stands of each machine."""
    ids = list(machine_ids)
    found = {pk: Standing() for pk in ids}
    for row in queries.latest_assessments(scope=scope).filter(machine__in=ids):
        grade = _OF_GRADE[Grade(row.grade)]
        found[row.machine_id].state = STATES.index(grade)
    for finding in queries.current_findings(scope=scope).filter(machine__in=ids):
        if finding.topic not in (*_NOT_OF_THE_MACHINE, *_QUESTIONS):
            _take(found[finding.machine_id], finding)
    for machine_id, stop in _stops(scope, ids):
        found[machine_id].stops.add(stop)
        found[machine_id].state = STATES.index("stopped")
    for row in queries.current_forecasts(scope=scope).filter(machine__in=ids):
        place = (row.quantity, row.place)
        found[row.machine_id].dates[place] = row.plan_before_on
    return found


def has_stop_rows() -> bool:
    """Tell whether stops are rows of their own, which latch."""
    return hasattr(models, "Stop")


def _stops(scope: Scope, ids: list[int]) -> Iterable[tuple[int, Place]]:
    if has_stop_rows():
        rows = models.Stop.objects.within(scope).filter(
            machine__in=ids, released_at=None
        )
        return [
            (row.machine_id, (row.cause, place))
            for row in rows
            for place in places(row.place)
        ]
    standing = queries.current_findings(scope=scope)
    return [
        (row.machine_id, (row.topic, place))
        for row in standing.filter(machine__in=ids, stops_service=True)
        for place in places(row.place)
    ]


def places(words: str) -> list[str]:
    """Return each place of a finding that tells the same of several.

    >>> places("groove 1, 2")
    ['groove 1', 'groove 2']
    """
    kind, _, numbers = words.partition(" ")
    if "," not in numbers:
        return [words]
    return [f"{kind} {number.strip()}" for number in numbers.split(",")]


def _take(standing: Standing, finding: Finding) -> None:
    said = verdict(finding)
    words = "" if finding.topic in _OF_THE_WORST else finding.place
    # A load case is told apart or with the others, as its margin when new says.
    is_case = finding.topic.startswith(TRACTION) and finding.topic != TRACTION_TEST
    topic = TRACTION if is_case else finding.topic
    for place in places(words):
        key = (topic, place)
        before = standing.verdicts.get(key, WITHIN)
        standing.verdicts[key] = max(said, before, key=_RANK.__getitem__)
    if said == OPEN and _is_asked(finding):
        standing.undecided.add(finding.topic)
    if said == OPEN and not _names_unknown(finding):
        standing.unsaid.append(f"{finding.topic} {finding.place}")


def verdict(finding: Finding) -> str:
    """Return the answer of a finding, from its grade where it does not say one."""
    if finding.grade == Grade.ACT_NOW or finding.stops_service:
        # Whatever is not known: an interval never weakens what is beyond as entered.
        return BEYOND
    told = str(getattr(finding, "answer", "")).lower()
    if told in _RANK:
        return told
    if finding.grade == Grade.NOT_ASSESSED:
        return OPEN
    if finding.grade == Grade.PLAN_WORK:
        return OPEN if (finding.margin or 0.0) > 0.0 else BEYOND
    return WITHIN


def _is_asked(finding: Finding) -> bool:
    return finding.topic not in _NOT_ASKED and _NO_LIMIT not in finding.reason


def _names_unknown(finding: Finding) -> bool:
    """Tell whether an open answer says what it depends on."""
    return bool(finding.reason or getattr(finding, "unknowns", ()))
