"""Findings and limits into the database, in bulk."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from fleet.models import Machine
from fleet.tenancy import Scope
from inspections import queries
from inspections.assessment.draft import Draft, LimitDraft
from inspections.models import Assessment, Finding, WearLimit


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
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


def last_digests(*, scope: Scope, machine_ids: Sequence[int]) -> dict[int, str]:
    """Return the digest of each machine's last inputs.

    The machines' rows are locked until the transaction ends, so that two runs on one
    machine follow each other.
    """
    list(
        Machine.objects.within(scope)
        .filter(pk__in=machine_ids)
        .order_by("pk")
        .select_for_update()
        .values_list("pk")
    )
    rows = queries.latest_assessments(scope=scope).filter(machine__in=machine_ids)
    return dict(rows.values_list("machine_id", "inputs_digest"))


def store(*, scope: Scope, outcomes: Sequence[Outcome]) -> None:
    """Store assessments with their findings; the limits replace the old ones."""
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
        )
        for outcome in outcomes
    )
    pairs = list(zip(assessments, outcomes, strict=True))
    Finding.objects.bulk_create(_findings(scope, pairs), batch_size=2000)
    WearLimit.objects.within(scope).filter(
        machine__in=[outcome.machine_id for outcome in outcomes]
    ).delete()
    WearLimit.objects.bulk_create(_limits(scope, pairs), batch_size=2000)


def _findings(
    scope: Scope, pairs: Iterable[tuple[Assessment, Outcome]]
) -> Iterable[Finding]:
    for assessment, outcome in pairs:
        for draft in outcome.drafts:
            yield Finding(
                contractor_id=scope.contractor_id,
                assessment=assessment,
                machine_id=outcome.machine_id,
                groove_id=draft.groove_id,
                rope_id=draft.rope_id,
                topic=draft.topic,
                place=draft.place[:80],
                grade=draft.grade,
                value=draft.value,
                limit=draft.limit,
                margin=draft.margin,
                unit=draft.unit[:10],
                criterion=draft.criterion[:300],
                source=draft.source[:300],
                how_sure=draft.how_sure[:60],
                reason=draft.reason[:600],
                stops_service=draft.stops_service,
                unconfirmed=draft.unconfirmed,
                detail=draft.detail,
                readings=sorted(set(draft.readings)),
            )


def _limits(
    scope: Scope, pairs: Iterable[tuple[Assessment, Outcome]]
) -> Iterable[WearLimit]:
    for assessment, outcome in pairs:
        for limit in outcome.limits:
            yield WearLimit(
                contractor_id=scope.contractor_id,
                assessment=assessment,
                machine_id=outcome.machine_id,
                groove_id=limit.groove_id,
                rope_id=limit.rope_id,
                quantity=limit.quantity,
                place=limit.place,
                value=limit.value,
                sd=limit.sd,
                reason=limit.reason,
                criterion=limit.criterion,
                dominated_by=limit.dominated_by,
                safety=limit.safety,
            )
