"""Work a stored finding out again, with what its assessment shares."""

from inspections.models import Finding
from inspections.worked.records import Worked
from inspections.worked.told import Told
from inspections.worked.working import of


def of_finding(finding: Finding) -> Worked:
    """Return the worked calculation of a stored finding; one query more at most."""
    detail = finding.detail
    cases = ()
    if "case" in detail and "cases" not in detail:
        alike = Finding.objects.filter(
            contractor_id=finding.contractor_id,
            assessment_id=finding.assessment_id,
            place=finding.place,
            detail__has_key="cases",
        ).first()
        cases = alike.detail["cases"] if alike is not None else ()
    return of(
        Told(
            topic=finding.topic,
            rule=finding.rule,
            value=finding.value,
            limit=finding.limit,
            margin=finding.margin,
            unit=finding.unit,
            detail=detail,
            unknowns=finding.unknowns,
            shared=finding.assessment.inputs.get("shared", {}),
            cases=cases,
        )
    )
