"""Copies of a visit's readings and its photos, at the machine where it was made."""

import hashlib
import json
import secrets
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from django.db.models import F

from fleet.models import Machine
from fleet.platform import printing
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Unprocessable
from inspections.intake.decode import decode
from inspections.intake.outcome import ReadingOutcome, VisitOutcome
from inspections.intake.repeat import open_upload
from inspections.intake.take import Taken, take
from inspections.models import Reading, Stop, Visit, VisitPhoto


class DoesNotFit(Unprocessable):
    """Not all of the visit's readings can be taken at that machine."""

    code = "does-not-fit"


@dataclass(slots=True, kw_only=True)
class Copied:
    """The visit that the copies belong to, [origin, copy] of each, what they raised."""

    visit_id: int = 0
    pairs: list[list[int]] = field(default_factory=list)
    stops: list[Stop] = field(default_factory=list)


def copied(
    scope: Scope,
    visit: Visit,
    machine: Machine,
    readings: Sequence[Reading],
    now: datetime,
    most: int,
    *,
    into: Visit | None = None,
) -> Copied:
    """Store the copies by the upload's own door. Raises DoesNotFit.

    Whoever read something has read it there, and corrects it there: each person's
    copies are an upload of theirs, whoever moves the visit. `into` is the visit that
    earlier copies of the same stand in.
    """
    names = _names(scope, visit, readings, into)
    reference = into.reference if into else _visit_name(scope, visit)
    made_by = replace(scope, membership_id=visit.membership_id)
    found = Copied()
    for reader, rows in _batches(visit, readings, most):
        body = {
            "visits": [
                {
                    "reference": reference,
                    "machine": machine.code,
                    "kind": visit.kind,
                    "visited_at": visit.visited_at.isoformat(),
                    "note": printing.without_turning(visit.note),
                    "readings": [_as_sent(row, names) for row in rows],
                }
            ]
        }
        read_by = replace(scope, membership_id=reader, token_id=None)
        taken = _taken(made_by, read_by, body, now, most)
        found.visit_id = taken.visits[0].id or 0
        found.pairs += [
            [row.pk, copy.id or 0]
            for row, copy in zip(rows, taken.readings, strict=True)
        ]
        found.stops += [s for s in taken.stops if s not in found.stops]
    found.pairs.sort()
    return found


def _taken(
    made_by: Scope, read_by: Scope, body: Mapping[str, Any], now: datetime, most: int
) -> Taken:
    upload = decode(body=body, most=most)
    said = json.dumps(body, sort_keys=True).encode()
    row, _ = open_upload(
        scope=read_by,
        key=None,
        fingerprint=hashlib.sha256(said).hexdigest(),
        upload=upload,
        received_at=now,
    )
    taken = take(scope=made_by, upload=upload, row=row, received_at=now)
    outcomes: list[ReadingOutcome | VisitOutcome] = [*taken.readings, *taken.visits]
    for outcome in outcomes:
        if outcome.problem is not None:
            raise DoesNotFit(
                f"{outcome.reference}: {outcome.problem.detail}", pointer="/machine"
            )
    return taken


def _batches(
    visit: Visit, readings: Sequence[Reading], most: int
) -> Iterator[tuple[int, Sequence[Reading]]]:
    """Yield each person's readings, corrections after what they correct.

    A visit without any is stored all the same.
    """
    left = list(readings)
    if not left:
        yield visit.membership_id, ()
    while left:
        waiting = {row.pk for row in left}
        ready = [row for row in left if row.corrects_id not in waiting]
        for reader in sorted({row.upload.membership_id for row in ready}):
            own = [row for row in ready if row.upload.membership_id == reader]
            for first in range(0, len(own), most):
                yield reader, own[first : first + most]
        left = [row for row in left if row.corrects_id in waiting]


def _names(
    scope: Scope, visit: Visit, readings: Sequence[Reading], into: Visit | None
) -> dict[int, str]:
    """Return the reference of each copy, those made before among them.

    Anybody may have used such a name already, and must not keep a visit where it is.
    """
    found = {row.pk: f"moved-{row.pk}" for row in readings}
    rows = Reading.objects.within(scope)
    taken = set(
        rows.filter(reference__in=found.values()).values_list("reference", flat=True)
    )
    found = {pk: _free(name) if name in taken else name for pk, name in found.items()}
    if into is None:
        return found
    mine = rows.filter(visit=into, reference__startswith="moved-")
    made = {}
    for reference in mine.values_list("reference", flat=True):
        number = reference.split("-")[1]
        if number.isascii() and number.isdigit():
            made[int(number)] = reference
    return made | found


def _visit_name(scope: Scope, visit: Visit) -> str:
    name = f"moved-{visit.pk}"
    is_taken = Visit.objects.within(scope).filter(reference=name).exists()
    return _free(name) if is_taken else name


def _free(name: str) -> str:
    return f"{name}-{secrets.token_hex(4)}"


def _as_sent(row: Reading, names: Mapping[int, str]) -> dict[str, Any]:
    """Return a reading as it was typed, for another machine.

    Notes of before may hold signs that no door takes by now; they keep no visit back.
    """
    part = row.groove or row.rope
    said: dict[str, Any] = {
        "reference": names[row.pk],
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
        said["note"] = printing.without_turning(row.note)
    if row.corrects_id is not None and row.corrects_id in names:
        said["corrects"] = names[row.corrects_id]
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
