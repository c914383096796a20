"""Findings and limits into the database, in bulk."""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import connection

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.assessment.carrying import Earlier
from inspections.assessment.draft import Draft, LimitDraft, plain
from inspections.assessment.grading import OPEN
from inspections.assessment.over import Assumed, Over
from inspections.engineering.answer import Answer
from inspections.models import Assessment, Cause, Finding, WearLimit
from inspections.reasons import as_json, from_json, note
from inspections.reasons.serial import term_of, topic_of
from inspections.stops import raising


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedMachine:
    """One machine's assessment, ready to be stored."""

    machine_id: int
    as_of: datetime
    criteria_set: str
    kernel_version: str
    inputs: Mapping[str, Any]
    inputs_digest: str
    grade: str
    drafts: tuple[Draft, ...]
    limits: tuple[LimitDraft, ...]
    cause: str = Cause.FACTS
    checks: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class LastAssessment:
    """What is known of a machine's last assessment."""

    pk: int
    digest: str
    version: str


def last_assessments(
    *, scope: Scope, machine_ids: Sequence[int], lock: bool = True
) -> dict[int, LastAssessment]:
    """Return the last assessment of each machine by the machine's id.

    The machines' rows are locked until the transaction ends, so that two runs on one
    machine follow each other; without `lock` they are only read.
    """
    if lock:
        list(
            Machine.objects.within(scope)
            .filter(pk__in=machine_ids)
            .order_by("pk")
            .select_for_update(no_key=True)
            .values_list("pk")
        )
    rows = queries.latest_assessments(scope=scope).filter(machine__in=machine_ids)
    found = rows.values_list("machine_id", "pk", "inputs_digest", "kernel_version")
    return {
        machine: LastAssessment(pk=pk, digest=digest, version=version)
        for machine, pk, digest, version in found
    }


def facts(*, scope: Scope, assessments: Sequence[int]) -> dict[int, dict[str, Any]]:
    """Return what some assessments rest on, by machine."""
    if not assessments:
        return {}
    rows = Assessment.objects.within(scope).filter(pk__in=assessments)
    found = rows.values_list("machine_id", "inputs__rows")
    return {machine: rested_on or {} for machine, rested_on in found}


def open_findings(
    *, scope: Scope, assessments: Sequence[int]
) -> dict[int, list[Earlier]]:
    """Return the open findings of some assessments, by machine."""
    found: dict[int, list[Earlier]] = defaultdict(list)
    if not assessments:
        return found
    rows = Finding.objects.within(scope).filter(
        assessment__in=assessments, grade__in=OPEN
    )
    for row in rows.select_related("assessment"):
        found[row.machine_id].append(
            Earlier(draft=_draft(row), found_on=f"{row.assessment.as_of:%Y-%m-%d}")
        )
    return found


def _draft(row: Finding) -> Draft:
    """Return a stored finding as it was before it was stored."""
    kept = {
        name: getattr(row, name)
        for name in Draft.__dataclass_fields__
        if name not in ("reason", "rule", "word", "topic", "over")
    }
    # A finding of an earlier version has its words only.
    said = from_json(row.said) or (note(row.reason) if row.reason else None)
    return Draft(
        **{**kept, "readings": tuple(row.readings)},
        topic=topic_of(row.topic),
        reason=said,
        rule=term_of(row.rule) if row.rule else None,
        word=row.criterion,
        over=_over(row),
    )


def _over(row: Finding) -> Over | None:
    if not row.answer:
        return None
    return Over(
        answer=Answer(row.answer),
        worst=row.worst,
        typical=row.typical,
        best=row.best,
        chance=row.chance_beyond,
        decides=row.decides,
        unknowns=tuple(Assumed(**each) for each in row.unknowns),
    )


def store(*, scope: Scope, outcomes: Sequence[JudgedMachine]) -> None:
    """Store assessments with their findings; what was found before stands no more.

    The limits replace the old ones; what takes a machine out of service is raised.
    """
    if not outcomes:
        return
    assessments = Assessment.objects.bulk_create(
        Assessment(
            contractor_id=scope.contractor_id,
            machine_id=outcome.machine_id,
            as_of=outcome.as_of,
            criteria_set=outcome.criteria_set,
            kernel_version=outcome.kernel_version,
            inputs=outcome.inputs,
            inputs_digest=outcome.inputs_digest,
            grade=outcome.grade,
            cause=outcome.cause,
            checks=outcome.checks,
        )
        for outcome in outcomes
    )
    pairs = [(row.pk, each) for row, each in zip(assessments, outcomes, strict=True)]
    machine_ids = [outcome.machine_id for outcome in outcomes]
    standing = Finding.objects.within(scope).filter(current=True)
    standing.filter(machine__in=machine_ids).update(current=False)
    WearLimit.objects.within(scope).filter(machine__in=machine_ids).delete()
    with connection.cursor() as cursor:
        for statement, rows in (
            (_FINDINGS, findings(pairs)),
            (_LIMITS, limits(pairs)),
        ):
            said = json.dumps(list(rows), separators=(",", ":"), allow_nan=False)
            cursor.execute(statement, [scope.contractor_id, said])
    stopping = [pk for pk, each in pairs if any(d.stops_service for d in each.drafts)]
    if stopping:
        raising.of_assessments(
            scope=scope, assessment_ids=stopping, now=outcomes[0].as_of
        )


def _statement(table: str, columns: Mapping[str, str]) -> str:
    """Return an INSERT that takes all its rows as one JSON array."""
    names = ", ".join(f'"{name}"' for name in columns)
    typed = ", ".join(f'"{name}" {kind}' for name, kind in columns.items())
    return (
        f'INSERT INTO "{table}" (contractor_id, version, {names}) '
        f"SELECT %s, 1, {names} FROM jsonb_to_recordset(%s::jsonb) AS given ({typed})"
    )


_CHANCES: Mapping[str, float] = {Answer.BEYOND: 1.0, Answer.WITHIN: 0.0}
_PLACE = {
    "assessment_id": "bigint",
    "machine_id": "bigint",
    "groove_id": "bigint",
    "rope_id": "bigint",
}
FINDING_COLUMNS = {
    **_PLACE,
    "topic": "text",
    "place": "text",
    "grade": "text",
    "value": "float8",
    "limit": "float8",
    "margin": "float8",
    "unit": "text",
    "criterion": "text",
    "source": "text",
    "how_sure": "text",
    "rule": "text",
    "reason": "text",
    "said": "jsonb",
    "stops_service": "boolean",
    "unconfirmed": "boolean",
    "detail": "jsonb",
    "readings": "bigint[]",
    "answer": "text",
    "worst": "float8",
    "typical": "float8",
    "best": "float8",
    "chance_beyond": "float8",
    "decides": "text",
    "unknowns": "jsonb",
}
LIMIT_COLUMNS = {
    **_PLACE,
    "quantity": "text",
    "place": "text",
    "value": "float8",
    "sd": "float8",
    "reason": "text",
    "criterion": "text",
    "dominated_by": "text",
    "safety": "boolean",
}
# One array of rows is a parameter; an ORM's row-by-row parameters cost ten times it.
_FINDINGS = _statement(Finding._meta.db_table, FINDING_COLUMNS)
_LIMITS = _statement(WearLimit._meta.db_table, LIMIT_COLUMNS)


def findings(pairs: Iterable[tuple[int, JudgedMachine]]) -> Iterator[dict[str, Any]]:
    """Yield the findings of assessments as rows."""
    for assessment_id, outcome in pairs:
        for draft in outcome.drafts:
            yield {
                "assessment_id": assessment_id,
                "machine_id": outcome.machine_id,
                "groove_id": draft.groove_id,
                "rope_id": draft.rope_id,
                "topic": draft.topic,
                "place": draft.place[:80],
                "grade": draft.grade,
                "value": draft.value,
                "limit": draft.limit,
                "margin": draft.margin,
                "unit": draft.unit[:10],
                "criterion": draft.criterion[:300],
                "source": draft.source[:300],
                "how_sure": str(draft.how_sure or ""),
                "rule": str(draft.rule or "")[:60],
                "reason": str(draft.reason or "")[:600],
                "said": as_json(draft.reason) if draft.reason else None,
                "stops_service": draft.stops_service,
                "unconfirmed": draft.unconfirmed,
                "detail": draft.detail,
                "readings": sorted(set(draft.readings)),
                **_ends(draft),
            }


def _ends(draft: Draft) -> dict[str, Any]:
    """Return the answer of a finding and its margins over what is not known."""
    over = draft.over
    return {
        "answer": draft.answer,
        "worst": over.worst if over else draft.margin,
        "typical": over.typical if over else draft.margin,
        "best": over.best if over else draft.margin,
        "chance_beyond": over.chance if over else _CHANCES.get(draft.answer),
        "decides": over.decides[:60] if over else "",
        "unknowns": plain(over.unknowns) if over else [],
    }


def limits(pairs: Iterable[tuple[int, JudgedMachine]]) -> Iterator[dict[str, Any]]:
    """Yield the limits of assessments as rows."""
    for assessment_id, outcome in pairs:
        for limit in outcome.limits:
            yield {
                "assessment_id": assessment_id,
                "machine_id": outcome.machine_id,
                "groove_id": limit.groove_id,
                "rope_id": limit.rope_id,
                "quantity": limit.quantity,
                "place": limit.place,
                "value": limit.value,
                "sd": limit.sd,
                "reason": limit.reason,
                "criterion": limit.criterion,
                "dominated_by": limit.dominated_by,
                "safety": limit.safety,
            }
