"""Scenarios by name: kept, shared, and worked out anew where the machine moved on."""

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import F

from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import inputs, queries, versions
from inspections.assessment import facts
from inspections.assessment.wear_limits import SEAT_DEPTH
from inspections.inputs import Snapshot
from inspections.models import Forecast, Scenario
from inspections.scenarios import answering, working_out
from inspections.scenarios.changes import Changes, read
from inspections.scenarios.dating import StandingForecast
from inspections.scenarios.problems import NameTaken, TooMany

MOST_OF_A_MACHINE = 100
# What time alone changes tells nothing of the machine.
_OF_TIME = ("checks", "field_test_is_stale")


def snapshot_of(*, scope: Scope, machine_id: int, now: datetime) -> Snapshot:
    """Return a machine as known now. Raises NotFound."""
    found = inputs.load(scope=scope, machine_ids=[machine_id], as_of=now)
    if not found:
        raise NotFound
    return found[0]


def digest_of(snapshot: Snapshot) -> str:
    """Return what an answer rests on: another digest is another machine."""
    known = {k: v for k, v in facts.of(snapshot).items() if k not in _OF_TIME}
    return hashlib.sha256(facts.canonical(known)).hexdigest()


def work_out(
    *, scope: Scope, machine_id: int, changes: Mapping[str, Any], now: datetime
) -> dict[str, Any]:
    """Return the answer to a change; nothing is kept.

    Raises NotFound, NotTried and NotKnownEnough.
    """
    snapshot = snapshot_of(scope=scope, machine_id=machine_id, now=now)
    found = _worked_out(scope, snapshot, read(changes))
    return answering.of_answer(found)


def keep(
    *,
    scope: Scope,
    machine_id: int,
    name: str,
    changes: Mapping[str, Any],
    shared_with_owner: bool,
    now: datetime,
) -> Scenario:
    """Work a change out and keep it by name.

    Raises NotFound, NotTried, NotKnownEnough, NameTaken and TooMany.
    """
    snapshot = snapshot_of(scope=scope, machine_id=machine_id, now=now)
    kept = Scenario.objects.within(scope).filter(machine_id=machine_id)
    if kept.count() >= MOST_OF_A_MACHINE:
        raise TooMany
    asked = read(changes)
    try:
        with transaction.atomic():
            row: Scenario = Scenario.objects.create(
                contractor_id=scope.contractor_id,
                machine_id=machine_id,
                name=name,
                changes=asked.as_json(),
                membership_id=scope.membership_id or 0,
                shared_with_owner=shared_with_owner,
                **_answered(scope, snapshot, asked.as_json(), now),
            )
    except IntegrityError as error:
        raise NameTaken from error
    return row


def anew(*, scope: Scope, scenario_id: int, now: datetime) -> Scenario:
    """Work a kept one out with the machine as known now. Raises as `keep` does."""
    row: Scenario | None = (
        Scenario.objects.within(scope)
        .select_for_update(of=("self",))
        .filter(pk=scenario_id)
        .first()
    )
    if row is None:
        raise NotFound
    snapshot = snapshot_of(scope=scope, machine_id=row.machine_id, now=now)
    changed = _answered(scope, snapshot, row.changes, now)
    Scenario.objects.filter(contractor_id=row.contractor_id, pk=row.pk).update(
        **changed, version=F("version") + 1
    )
    row.refresh_from_db()
    return row


def change(
    *, row: Scenario, name: str | None = None, shared_with_owner: bool | None = None
) -> Scenario:
    """Rename a kept one, or share it with the owner. Raises NameTaken."""
    changed: dict[str, Any] = {}
    if name is not None:
        changed["name"] = name
    if shared_with_owner is not None:
        changed["shared_with_owner"] = shared_with_owner
    rows = Scenario.objects.filter(contractor_id=row.contractor_id, pk=row.pk)
    try:
        with transaction.atomic():
            rows.update(**changed, version=F("version") + 1)
    except IntegrityError as error:
        raise NameTaken from error
    row.refresh_from_db()
    return row


def has_moved_on(*, scope: Scope, row: Scenario, now: datetime) -> bool:
    """Tell whether machine or rules are others than when it was worked out."""
    if row.rules_version != str(versions.JUDGING):
        return True
    # Whoever sees the scenario is told, whatever of the machine they see.
    whole = replace(scope, owner_id=None)
    snapshot = snapshot_of(scope=whole, machine_id=row.machine_id, now=now)
    return row.knows != digest_of(snapshot)


def standing(*, scope: Scope, machine_id: int) -> tuple[StandingForecast, ...]:
    """Return the dates of seats that stand and may be shown."""
    rows = queries.current_forecasts(scope=scope).filter(
        machine=machine_id, quantity=SEAT_DEPTH
    )
    each = (_standing(row) for row in rows.order_by("pk"))
    return tuple(one for one in each if one is not None)


def _standing(row: Forecast) -> StandingForecast | None:
    """Return the dates of a seat; None where no middle is shown."""
    level, limit, early, middle = row.level, row.limit, row.p10_on, row.p50_on
    if level is None or limit is None or early is None or middle is None:
        return None
    return StandingForecast(
        place=row.place,
        read_on=row.last_on or row.as_of.date(),
        level_mm=level,
        limit_mm=limit,
        p02_on=row.p02_on,
        p10_on=early,
        p50_on=middle,
        p90_on=row.p90_on,
    )


def _answered(
    scope: Scope, snapshot: Snapshot, changes: Mapping[str, Any], now: datetime
) -> dict[str, Any]:
    answered = _worked_out(scope, snapshot, read(changes))
    return {
        "answer": answering.of_answer(answered),
        "knows": digest_of(snapshot),
        "rules_version": str(versions.JUDGING),
        "worked_out_at": now,
    }


def _worked_out(
    scope: Scope, snapshot: Snapshot, changes: Changes
) -> working_out.WorkedScenario:
    return working_out.work_out(
        snapshot,
        changes,
        standing=standing(scope=scope, machine_id=snapshot.machine.pk),
        rates=inputs.standing_terms(scope=scope).rates,
    )
