"""Invite someone: an account that can do nothing until its link was used.

Each contractor's people have accounts of their own. Someone who works for two has
two, so that no office learns of another's people, or ends what another began.
"""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime

from django.conf import settings

from fleet.platform import naming, printing
from fleet.platform.choices import Role
from fleet.platform.errors import Conflict
from fleet.platform.models import Contractor, Membership, Person
from fleet.platform.queue import jobs
from fleet.register.people import rules

SEND_LINK = "fleet.tasks.send_link"

# Person.username takes 150 letters: the address, a stroke, a contractor's code of 50.
LONGEST_EMAIL = 99


class AlreadyMember(Conflict):
    """Someone with this address is on the list of people already."""

    code = "already-member"


class Deactivated(Conflict):
    """This person was deactivated; reactivate them first."""

    code = "deactivated"


class NoPublicAddress(Conflict):
    """The server has no PUBLIC_URL, so no link can be sent; its keeper can set one."""

    code = "no-public-address"


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitee:
    """Who is invited, as what."""

    email: str
    role: str
    first_name: str = ""
    last_name: str = ""
    owner_id: int | None = None


def invite(
    *, contractor_id: int, invitation: Invitee, at: datetime, by_mail: bool = True
) -> tuple[Membership, list[int]]:
    """Store an invited person; return the membership and the jobs that send the link.

    Raises AlreadyMember, OwnerRule, NoPublicAddress, Unprintable.
    """
    printing.check(asdict(invitation))
    rules.check_owner(role=invitation.role, owner_id=invitation.owner_id)
    contractor = rules.lock(contractor_id=contractor_id)
    email = invitation.email.lower()
    if Membership.objects.filter(contractor=contractor, person__email=email).exists():
        raise AlreadyMember(f"{email} is on your list already", pointer="/email")
    membership = Membership.objects.create(
        person=_account(contractor, invitation, email=email),
        contractor=contractor,
        role=invitation.role,
        owner_id=invitation.owner_id,
        invited_at=at,
    )
    return membership, _queue(membership, at=at) if by_mail else []


def send_again(*, membership: Membership, at: datetime) -> Sequence[int]:
    """Send a new link, to join or to set another password; older links are void.

    The membership is a locked row. Raises Deactivated, NoPublicAddress.
    """
    if membership.deactivated_at is not None:
        raise Deactivated
    if membership.is_usable():
        # Whoever works already goes on working with what they have.
        membership.joined_at = membership.joined_at or at
    membership.invited_at = at
    membership.save(update_fields=["invited_at", "joined_at"])
    return _queue(membership, at=at)


def _account(contractor: Contractor, invitation: Invitee, *, email: str) -> Person:
    is_taken = Person.objects.filter(username=email).exists()
    person = Person(
        username=f"{email}{naming.MARK}{contractor.code}" if is_taken else email,
        email=email,
        first_name=invitation.first_name,
        last_name=invitation.last_name,
        is_staff=invitation.role == Role.OFFICE,
    )
    person.set_unusable_password()
    person.save()
    return person


def _queue(membership: Membership, *, at: datetime) -> list[int]:
    if not settings.PUBLIC_URL:
        raise NoPublicAddress
    return jobs.write(
        kind=SEND_LINK,
        contractor_id=membership.contractor_id,
        subject_ids=[membership.pk],
        due_at=at,
    )
