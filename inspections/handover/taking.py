"""The taking house: a machine with all its history, each row with its origin."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import IO

from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db import DatabaseError, transaction

from fleet.models import Building, Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from fleet.platform.queue import jobs
from fleet.register import quotas
from inspections.handover import unpacking
from inspections.handover.settling import House
from inspections.handover.unpacking import NotAHandOver, OpenedFile
from inspections.models import (
    HandOver,
    HandOverDirection,
    HandOverState,
)
from inspections.stops import raising

ASSESS = "inspections.tasks.assess"


class CodeTaken(Conflict):
    """A machine of this code is there already: give another code."""

    code = "code-taken"


class AnotherFile(Conflict):
    """Another file of this hand-over was taken: have the machine offered anew."""

    code = "another-file"


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenMachine:
    """What was taken, or had been before; the job that judges the machine."""

    hand_over: HandOver
    counts: dict[str, int]
    open_stops: int
    repeated: bool = False
    job_ids: tuple[int, ...] = ()


def take(
    *, scope: Scope, file: IO[bytes], building_id: int, code: str, now: datetime
) -> TakenMachine:
    """Store a machine of another house in a building of this one, all or nothing.

    `code` is what it is called here; empty is what it was called there. The same file
    again is the same hand-over. Raises NotAHandOver, NotFound, CodeTaken, AnotherFile,
    QuotaReached, Unprintable.
    """
    if scope.membership_id is None:
        raise ValueError("a machine is taken by someone")
    found = unpacking.opened(file)
    stored: list[str] = []
    try:
        with transaction.atomic(), quotas.on_machines(scope=scope):
            return _take(scope, found, building_id, code or found.machine, now, stored)
    except (ValidationError, DatabaseError, KeyError, TypeError, ValueError) as problem:
        _remove(stored)
        raise NotAHandOver(
            f"a row of the file cannot be stored ({type(problem).__name__})"
        ) from problem
    except BaseException:
        _remove(stored)
        raise


def _take(
    scope: Scope,
    found: OpenedFile,
    building_id: int,
    code: str,
    now: datetime,
    stored: list[str],
) -> TakenMachine:
    building = _building(scope, building_id)
    before = HandOver.objects.within(scope).filter(
        number=found.number, direction=HandOverDirection.TAKEN
    )
    if (known := before.first()) is not None:
        if known.content_digest != found.digest:
            raise AnotherFile
        return TakenMachine(
            hand_over=known,
            counts=_counts(found),
            open_stops=len(found.rows["stops"]),
            repeated=True,
        )
    if Machine.objects.within(scope).filter(code=code).exists():
        raise CodeTaken
    house = House(scope=scope, found=found, now=now, stored=stored)
    machine = house.settle(building=building, code=code)
    hand_over = HandOver.objects.create(
        contractor_id=scope.contractor_id,
        machine=machine,
        direction=HandOverDirection.TAKEN,
        state=HandOverState.DONE,
        number=found.number,
        house=found.house,
        word_by=found.word_by,
        word_on=found.word_on,
        words=found.words,
        membership_id=scope.membership_id or 0,
        content_digest=found.digest,
        done_at=now,
    )
    house.mark(hand_over)
    stops = raising.raise_all(scope=scope, claims=house.claims(), now=now)
    ids = jobs.write(
        kind=ASSESS,
        contractor_id=scope.contractor_id,
        subject_ids=[machine.pk],
        due_at=now,
    )
    return TakenMachine(
        hand_over=hand_over,
        counts=_counts(found),
        open_stops=len(stops),
        job_ids=tuple(ids),
    )


def _building(scope: Scope, pk: int) -> Building:
    rows = Building.objects.within(scope).filter(pk=pk, retired_on=None)
    # Locked, so that the same file sent twice at once is taken once.
    found: Building | None = rows.select_for_update().first()
    if found is None:
        raise NotFound
    return found


def _counts(found: OpenedFile) -> dict[str, int]:
    return {name: len(rows) for name, rows in found.rows.items() if rows}


def _remove(names: Sequence[str]) -> None:
    for name in names:
        default_storage.delete(name)
