"""Findings that are judged and not stored, as what is to be worked out again."""

from inspections import worked
from inspections.assessment.assessing import judge
from inspections.inputs import Snapshot
from inspections.json_records import plain


def told_of(of: Snapshot) -> list[worked.Told]:
    """Return every finding with a number, with what stands beside it as stored."""
    drafts, _, shared = judge(of)
    cases = {d.place: d.detail["cases"] for d in drafts if "cases" in d.detail}
    metal = [d.detail["metal"] for d in drafts if "metal" in d.detail]
    return [
        worked.Told(
            topic=str(draft.topic),
            rule=str(draft.rule or ""),
            value=draft.value,
            limit=draft.limit,
            margin=draft.margin,
            unit=draft.unit,
            detail=plain(draft.detail),
            unknowns=plain(draft.over.unknowns) if draft.over else (),
            shared=plain(shared),
            cases=plain(cases.get(draft.place, ())),
            metal=plain(metal[0])["grooves"] if metal else (),
        )
        for draft in drafts
        if draft.value is not None
    ]
