"""What can be judged of a machine with what is known so far; nothing is stored."""

from dataclasses import dataclass
from datetime import datetime

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import inputs
from inspections.assessment.assessing import CHECKS, judge
from inspections.models import Grade
from inspections.reasons import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class NotYet:
    """What cannot be judged, where, and why."""

    topic: str
    place: str
    reason: Reason | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessable:
    """Topics that would be judged now, those that would not, and checks made."""

    judged: tuple[str, ...]
    not_yet: tuple[NotYet, ...]
    made: int
    of: int


def now_known(*, scope: Scope, machine_id: int, as_of: datetime) -> Assessable:
    """Return what the assessment would say it can and cannot judge. Raises NotFound.

    It is worked out by the assessment itself, so that nothing is promised here that is
    not done there.
    """
    found = inputs.load(scope=scope, machine_ids=[machine_id], as_of=as_of)
    if not found:
        raise NotFound
    drafts, _limits, shared = judge(found[0])
    missing = [d for d in drafts if d.grade == Grade.NOT_ASSESSED]
    judged = dict.fromkeys(
        str(d.topic) for d in drafts if d.grade != Grade.NOT_ASSESSED
    )
    return Assessable(
        judged=tuple(judged),
        not_yet=tuple(
            NotYet(topic=str(d.topic), place=d.place, reason=d.reason) for d in missing
        ),
        made=shared[CHECKS]["made"],
        of=shared[CHECKS]["of"],
    )
