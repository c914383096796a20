"""Work a stored finding out again, with what its assessment shares."""

from collections.abc import Mapping, Sequence
from typing import Any

from inspections.models import Finding
from inspections.reasons import Topic
from inspections.worked.records import Worked
from inspections.worked.told import Told
from inspections.worked.working import of


def of_finding(finding: Finding) -> Worked:
    """Return the worked calculation of a stored finding; one query more at most."""
    detail = finding.detail
    cases: Sequence[Mapping[str, Any]] = ()
    if "case" in detail and "cases" not in detail:
        alike = Finding.objects.filter(
            contractor_id=finding.contractor_id,
            assessment_id=finding.assessment_id,
            place=finding.place,
            detail__has_key="cases",
        ).first()
        cases = alike.detail["cases"] if alike is not None else ()
    shared = finding.assessment.inputs.get("shared", {})
    return of_loaded(finding, shared=shared, cases=cases, metal=_metal(finding))


def _metal(finding: Finding) -> Sequence[Mapping[str, Any]]:
    """Return what stands under each groove, as it was judged beside a cut."""
    if finding.topic != Topic.NEXT_CUT:
        return ()
    judged = Finding.objects.filter(
        contractor_id=finding.contractor_id,
        assessment_id=finding.assessment_id,
        topic=Topic.RIM_METAL,
        detail__has_key="metal",
    ).first()
    return judged.detail["metal"]["grooves"] if judged is not None else ()


def of_loaded(
    finding: Finding,
    *,
    shared: Mapping[str, Any],
    cases: Sequence[Mapping[str, Any]] = (),
    metal: Sequence[Mapping[str, Any]] = (),
) -> Worked:
    """Return the worked calculation of a finding with what is loaded; no query.

    `shared` are the shared numbers of its assessment, `cases` the load cases of the
    same place, where the finding has none itself, `metal` what stands under grooves.
    """
    return of(
        Told(
            topic=finding.topic,
            rule=finding.rule,
            value=finding.value,
            limit=finding.limit,
            margin=finding.margin,
            unit=finding.unit,
            detail=finding.detail,
            unknowns=finding.unknowns,
            shared=shared,
            cases=cases,
            metal=metal,
        )
    )
