"""Open findings that an unconfirmed reading must not clear.

An implausible reading acts as if true until it is measured again. It may open a
finding, but it never closes one: what was open at a place stays, marked as carried
over, until a reading that nobody doubts says otherwise.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from inspections.assessment.draft import Draft
from inspections.assessment.grading import OPEN, urgency
from inspections.reasons import Code, because

CARRIED = "carried over"


@dataclass(frozen=True, slots=True, kw_only=True)
class Earlier:
    """An open finding of the machine's last assessment."""

    draft: Draft
    found_on: str


def carried_over(drafts: Sequence[Draft], earlier: Iterable[Earlier]) -> list[Draft]:
    """Return the drafts, with the earlier findings that stay."""
    found = list(drafts)
    for each in earlier:
        if _stays(each.draft, drafts):
            found.append(_marked(each))
    return found


def _stays(old: Draft, drafts: Sequence[Draft]) -> bool:
    """Return whether an open finding is neither repeated nor cleared by a sure one."""
    now = [d for d in drafts if _same_place(d, old)]
    if old.grade not in OPEN or any(urgency(d) >= urgency(old) for d in now):
        return False
    return any(draft.unconfirmed for draft in now)


def _same_place(draft: Draft, old: Draft) -> bool:
    same = draft.topic == old.topic and draft.place == old.place
    if draft.rule is None or old.rule is None:
        return same and (draft.criterion == old.criterion or not draft.criterion)
    return same and draft.rule == old.rule


def _marked(each: Earlier) -> Draft:
    old = each.draft
    since = old.detail.get(CARRIED, {}).get("found_on", each.found_on)
    carried = because(Code.CARRIED_OVER, since=date.fromisoformat(since))
    return replace(
        old,
        reason=carried if old.reason is None else old.reason.with_also(carried),
        detail={**old.detail, CARRIED: {"found_on": since}},
    )
