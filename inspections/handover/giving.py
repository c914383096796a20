"""The giving house: offered by the owner's word, fetched, and given for good."""

import uuid
from datetime import date, datetime
from typing import IO
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from inspections.handover import packing
from inspections.models import HandOver, HandOverDirection, HandOverState
from inspections.models.hand_over import receipt_of
from inspections.stops import retiring


class AlreadyOffered(Conflict):
    """The machine is offered to a house already: withdraw that first."""

    code = "already-offered"


class NotToBeGiven(Conflict):
    """The machine is retired, or this hand-over was withdrawn or is done."""

    code = "not-offered"


class ChangedSince(Conflict):
    """The receipt is of another file: the machine was read or changed since."""

    code = "changed-since"


@transaction.atomic
def offer(
    *,
    scope: Scope,
    machine_id: int,
    house: str,
    word_by: str,
    word_on: date,
    words: str,
) -> HandOver:
    """Record the owner's word that a machine goes to another house.

    Nothing changes for the machine until it is given. Raises NotFound, NotToBeGiven,
    AlreadyOffered.
    """
    machine = _locked(scope, machine_id)
    if machine.retired_on is not None:
        raise NotToBeGiven
    mine = HandOver.objects.within(scope).filter(machine=machine)
    if mine.filter(state=HandOverState.OFFERED).exists():
        raise AlreadyOffered
    found: HandOver = HandOver.objects.create(
        contractor_id=scope.contractor_id,
        machine=machine,
        direction=HandOverDirection.GIVEN,
        state=HandOverState.OFFERED,
        number=uuid.uuid4(),
        house=house,
        word_by=word_by,
        word_on=word_on,
        words=words,
        membership_id=scope.membership_id or 0,
    )
    return found


@transaction.atomic
def pack(*, scope: Scope, hand_over_id: int, now: datetime, target: IO[bytes]) -> None:
    """Write the file of an offer, or of what was given; nothing is changed by it.

    Raises NotFound, NotToBeGiven, PhotoMissing.
    """
    found = _offer(scope, hand_over_id)
    if found.state == HandOverState.WITHDRAWN:
        raise NotToBeGiven
    machine = _locked(scope, found.machine_id)
    packed = packing.collect(scope=scope, machine=machine)
    packing.write(packed=packed, hand_over=found, at=now, target=target)


@transaction.atomic
def close(*, scope: Scope, hand_over_id: int, receipt: str, now: datetime) -> HandOver:
    """Give a machine for good: it is retired here, and its open stops end with it.

    `receipt` is what the other house said when it had taken the file. What was read
    after that file was fetched would be in neither house: then it is refused, whatever
    was fetched later. Raises NotFound, NotToBeGiven, ChangedSince.
    """
    found = _offer(scope, hand_over_id)
    if found.state == HandOverState.DONE:
        return found
    if found.state != HandOverState.OFFERED:
        raise NotToBeGiven
    machine = _locked(scope, found.machine_id)
    digest = packing.collect(scope=scope, machine=machine).digest()
    if _letters(receipt) != _letters(receipt_of(digest)):
        raise ChangedSince
    found.content_digest = digest
    machine.retired_on = now.astimezone(ZoneInfo(machine.building.time_zone)).date()
    machine.version += 1
    machine.save(update_fields=["retired_on", "version"])
    retiring.follow(scope=scope, now=now)
    return _end(found, state=HandOverState.DONE, now=now)


@transaction.atomic
def withdraw(*, scope: Scope, hand_over_id: int, now: datetime) -> HandOver:
    """Take an offer back; nothing has changed for the machine.

    Raises NotFound, NotToBeGiven.
    """
    found = _offer(scope, hand_over_id)
    if found.state != HandOverState.OFFERED:
        raise NotToBeGiven
    return _end(found, state=HandOverState.WITHDRAWN, now=now)


def _end(found: HandOver, *, state: str, now: datetime) -> HandOver:
    found.state, found.done_at = state, now
    found.version += 1
    found.save(update_fields=["state", "done_at", "content_digest", "version"])
    return found


def _letters(receipt: str) -> str:
    return "".join(c for c in receipt.casefold() if c.isalnum())


def _offer(scope: Scope, pk: int) -> HandOver:
    rows = HandOver.objects.within(scope).select_for_update(of=("self",))
    found: HandOver | None = (
        rows.filter(pk=pk).select_related("machine__building", "contractor").first()
    )
    if found is None:
        raise NotFound
    if found.direction != HandOverDirection.GIVEN:
        raise NotToBeGiven
    return found


def _locked(scope: Scope, pk: int) -> Machine:
    # As uploads lock it: nothing is read of it meanwhile.
    rows = Machine.objects.within(scope).select_for_update(of=("self",))
    found: Machine | None = rows.filter(pk=pk).select_related("building").first()
    if found is None:
        raise NotFound
    return found
