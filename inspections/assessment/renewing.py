"""Results that newer rules leave as they were: the version changes, nothing else."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db.models import F, Model

from fleet.platform.database.tenancy import Scope
from inspections.assessment import storing
from inspections.models import Assessment, Finding, WearLimit

Rows = dict[int, list[dict[str, Any]]]
# Which assessment and which machine a row is of is no part of what it says.
_NO_WORDS = ("assessment_id", "machine_id")


def renew(
    *, scope: Scope, pairs: Sequence[tuple[int, storing.Outcome]]
) -> list[storing.Outcome]:
    """Note the new version where an assessment says what it said; return the rest.

    Each pair is a standing assessment's id and what the machine's rules say now.
    Findings, limits and day stay as they are.
    """
    if not pairs:
        return []
    ids = [pk for pk, _ in pairs]
    findings = _stored(Finding, scope, ids, storing.FINDING_COLUMNS)
    limits = _stored(WearLimit, scope, ids, storing.LIMIT_COLUMNS)
    grades = dict(_assessments(scope, ids).values_list("pk", "grade"))
    others = []
    for pk, outcome in pairs:
        one = [(pk, outcome)]
        is_equal = (
            grades.get(pk) == outcome.grade
            and findings[pk] == _said(storing.findings(one))
            and limits[pk] == _said(storing.limits(one))
        )
        if is_equal:
            _assessments(scope, [pk]).update(
                kernel_version=outcome.kernel_version,
                inputs=outcome.inputs,
                inputs_digest=outcome.inputs_digest,
                version=F("version") + 1,
            )
        else:
            others.append(outcome)
    return others


def _assessments(scope: Scope, ids: Sequence[int]) -> Any:
    return Assessment.objects.within(scope).filter(pk__in=ids)


def _stored(
    model: type[Model], scope: Scope, ids: Sequence[int], columns: Mapping[str, str]
) -> Rows:
    """Return the rows of assessments as they were given to the database."""
    found: Rows = defaultdict(list)
    rows = model._default_manager.within(scope)  # type: ignore[attr-defined]
    wanted = [name for name in columns if name not in _NO_WORDS]
    for row in (
        rows.filter(assessment__in=ids).order_by("pk").values("assessment_id", *wanted)
    ):
        found[row.pop("assessment_id")].append(row)
    return found


def _said(rows: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return rows as they come back from the database."""
    read = json.loads(json.dumps(list(rows), allow_nan=False))
    return [
        {name: value for name, value in row.items() if name not in _NO_WORDS}
        for row in read
    ]
