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
# The same said in words, and the codes that an earlier version did not have.
_FINDING_WORDS = ("reason", "criterion")
_LIMIT_WORDS = ("criterion",)
_CODES = ("said", "rule")


def renew(
    *, scope: Scope, pairs: Sequence[tuple[int, storing.JudgedMachine]]
) -> list[storing.JudgedMachine]:
    """Note the new version where an assessment says what it said; return the rest.

    Each pair is a standing assessment's id and what the machine's rules say now.
    Findings, limits and day stay as they are; words decide nothing. A finding of an
    earlier version, which had no code, gets the code it has now.
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
            and _are_equal(
                findings[pk], now := _said(storing.findings(one)), _FINDING_WORDS
            )
            and _are_equal(limits[pk], _said(storing.limits(one)), _LIMIT_WORDS)
        )
        if is_equal:
            _give_codes(scope, findings[pk], now)
            _assessments(scope, [pk]).update(
                kernel_version=outcome.kernel_version,
                inputs=outcome.inputs,
                inputs_digest=outcome.inputs_digest,
                version=F("version") + 1,
            )
        else:
            others.append(outcome)
    return others


def _are_equal(
    before: Sequence[Mapping[str, Any]],
    now: Sequence[Mapping[str, Any]],
    in_words: Sequence[str],
) -> bool:
    """Return whether rows say the same by their codes and numbers."""
    return len(before) == len(now) and all(
        old[name] == value
        for old, new in zip(before, now, strict=True)
        for name, value in new.items()
        if name not in in_words and not (name in _CODES and _has_no_code(old))
    )


def _has_no_code(row: Mapping[str, Any]) -> bool:
    return not row.get("said") and not row.get("rule")


def _give_codes(
    scope: Scope, before: Sequence[Mapping[str, Any]], now: Sequence[Mapping[str, Any]]
) -> None:
    given = ("rule", "said", "reason")
    for old, new in zip(before, now, strict=True):
        if _has_no_code(old) and (new["said"] or new["rule"]):
            Finding.objects.within(scope).filter(pk=old["pk"]).update(
                **{name: new[name] for name in given}
            )


def _assessments(scope: Scope, ids: Sequence[int]) -> Any:
    return Assessment.objects.within(scope).filter(pk__in=ids)


def _stored(
    model: type[Model], scope: Scope, ids: Sequence[int], columns: Mapping[str, str]
) -> Rows:
    """Return the rows of assessments as they were given to the database."""
    found: Rows = defaultdict(list)
    rows = model._default_manager.within(scope)  # type: ignore[attr-defined]
    wanted = ["pk", *(name for name in columns if name not in _NO_WORDS)]
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
