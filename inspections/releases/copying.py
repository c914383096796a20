"""Copies of a visit's readings and its photos, at the machine where it was made."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db.models import F

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Unprocessable
from inspections.intake.decode import decode
from inspections.intake.outcome import ReadingOutcome, VisitOutcome
from inspections.intake.repeat import open_upload
from inspections.intake.take import Taken, take
from inspections.models import Reading, Visit, VisitPhoto


class DoesNotFit(Unprocessable):
    """Not all of the visit's readings can be taken at that machine."""

    code = "does-not-fit"


def copied(
    scope: Scope,
    visit: Visit,
    machine: Machine,
    readings: Sequence[Reading],
    now: datetime,
    most: int,
) -> Taken:
    """Store the copies by the upload's own door. Raises DoesNotFit."""
    body = {
        "visits": [
            {
                "reference": f"moved-{visit.pk}",
                "machine": machine.code,
                "kind": visit.kind,
                "visited_at": visit.visited_at.isoformat(),
                "note": visit.note,
                "readings": [_as_sent(row) for row in readings],
            }
        ]
    }
    upload = decode(body=body, most=most)
    said = json.dumps(body, sort_keys=True).encode()
    row, _ = open_upload(
        scope=scope,
        key=None,
        fingerprint=hashlib.sha256(said).hexdigest(),
        upload=upload,
        received_at=now,
    )
    # Whoever made the visit made it there.
    made_by = replace(scope, membership_id=visit.membership_id)
    taken = take(scope=made_by, upload=upload, row=row, received_at=now)
    outcomes: list[ReadingOutcome | VisitOutcome] = [*taken.readings, *taken.visits]
    for outcome in outcomes:
        if outcome.problem is not None:
            raise DoesNotFit(
                f"{outcome.reference}: {outcome.problem.detail}", pointer="/machine"
            )
    return taken


def _as_sent(row: Reading) -> dict[str, Any]:
    """Return a reading as it was typed, for another machine."""
    part = row.groove or row.rope
    said: dict[str, Any] = {
        "reference": f"moved-{row.pk}",
        "kind": row.kind,
        "place": row.place,
        "value": row.word or row.typed_value,
        "taken_at": row.taken_at.isoformat(),
    }
    if part is not None:
        said["groove" if row.groove is not None else "rope"] = part.number
    if row.typed_unit:
        said["unit"] = row.typed_unit
    if row.gauge is not None:
        said["gauge"] = row.gauge.code
    if row.note:
        said["note"] = row.note
    for name in ("sequence", "clock_offset_s"):
        if getattr(row, name) is not None:
            said[name] = getattr(row, name)
    return said


def bring_photos(*, scope: Scope, visit: Visit, to_visit: int, machine: Machine) -> int:
    """Let a visit's photos stand with its copies; return how many there were."""
    rows = VisitPhoto.objects.within(scope).filter(visit=visit)
    return rows.update(visit=to_visit, machine=machine, version=F("version") + 1)


def changes_parts(*, scope: Scope, pairs: Sequence[Sequence[int]]) -> bool:
    """Return whether a copy is of another rope, groove or sheave than its origin."""
    ids = [pk for pair in pairs for pk in pair]
    rows = Reading.objects.within(scope).filter(pk__in=ids)
    parts = {
        pk: of
        for pk, *of in rows.values_list("pk", "rope_id", "groove_id", "sheave_id")
    }
    return any(parts[origin] != parts[copy] for origin, copy in pairs)
