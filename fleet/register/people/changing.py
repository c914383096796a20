"""Change what someone may do, and let them go.

Nobody changes the own membership, and a contractor keeps someone in its office: both
are decided behind a lock, so that two at once cannot let each other go.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db.models import F
from django.utils.module_loading import import_string

from fleet.platform import printing
from fleet.platform.access import pairing
from fleet.platform.access.factors import showing
from fleet.platform.choices import Role
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, Unprocessable
from fleet.platform.models import Membership, Person, Token
from fleet.register.people import rules

NAMES = ("first_name", "last_name")


class OwnMembership(Conflict):
    """Nobody changes what they may do themselves; someone else in the office can."""

    code = "own-membership"


class LastOfficePerson(Conflict):
    """The contractor would have nobody left in its office."""

    code = "last-office-person"


class KeepersFactor(Conflict):
    """This person keeps the server; only its own command resets their factor."""

    code = "keepers-factor"


class CompetenceRule(Unprocessable):
    """A qualification has a day until which it is valid, and the other way round."""

    code = "competence-and-day"


def change(
    *, scope: Scope, membership: Membership, fields: Mapping[str, Any]
) -> Membership:
    """Store another role, owner, name or competence; return the membership as it is.

    Raises OwnMembership, LastOfficePerson, OwnerRule, CompetenceRule, Unprintable.
    """
    printing.check(fields)
    current = _locked(scope=scope, membership=membership)
    role = fields.get("role", current.role)
    owner_id = fields.get("owner_id", current.owner_id)
    if (role, owner_id) != (current.role, current.owner_id):
        _check_not_own(scope=scope, membership=current)
        rules.check_owner(role=role, owner_id=owner_id)
    _set_competence(scope, current, fields)
    named = {name: fields[name] for name in NAMES if name in fields}
    if named:
        Person.objects.filter(pk=current.person_id).update(**named)
    current.role, current.owner_id = role, owner_id
    current.call_order = fields.get("call_order", current.call_order)
    _store(current)
    Person.objects.filter(pk=current.person_id, is_superuser=False).update(
        is_staff=role == Role.OFFICE
    )
    return current


def _set_competence(
    scope: Scope, current: Membership, fields: Mapping[str, Any]
) -> None:
    """Mark someone competent to end a stop, or no more; nobody marks themselves."""
    until = fields.get("competent_until", current.competent_until)
    name = fields.get("qualification", current.qualification)
    if (name, until) == (current.qualification, current.competent_until):
        return
    _check_not_own(scope=scope, membership=current)
    if (name == "") != (until is None):
        raise CompetenceRule(pointer="/competent_until" if name else "/qualification")
    current.qualification, current.competent_until = name, until


def deactivate(*, scope: Scope, membership: Membership, at: datetime) -> Membership:
    """End a membership with its sessions, tokens and secret addresses, at once.

    Raises OwnMembership, LastOfficePerson.
    """
    current = _locked(scope=scope, membership=membership)
    if current.deactivated_at is not None:
        return current
    _check_not_own(scope=scope, membership=current)
    current.deactivated_at = at
    # A link that is still on its way is void, also after a reactivation.
    current.invited_at = current.invited_at and at
    _store(current)
    Token.objects.filter(membership=current, revoked_at=None).update(revoked_at=at)
    pairing.end_of(membership=current, at=at)
    for named in settings.ENDED_WITH_A_PERSON:
        import_string(named)(membership=current, at=at)
    person = Person.objects.filter(pk=current.person_id)
    person.update(session_epoch=F("session_epoch") + 1)
    elsewhere = Membership.objects.filter(
        person_id=current.person_id, deactivated_at=None
    )
    if not elsewhere.exists():
        person.filter(is_superuser=False).update(is_active=False)
    return current


def reactivate(*, scope: Scope, membership: Membership) -> Membership:
    """Let someone work again; old tokens, sessions and addresses stay ended."""
    current = _locked(scope=scope, membership=membership)
    if current.deactivated_at is None:
        return current
    current.deactivated_at = None
    _store(current)
    Person.objects.filter(pk=current.person_id).update(is_active=True)
    return current


def reset_factor(*, scope: Scope, membership: Membership, at: datetime) -> int:
    """Take all second factors of someone away, and tell them; return how many.

    Their sessions end; keys of their devices go on. Raises OwnMembership,
    KeepersFactor.
    """
    current = _locked(scope=scope, membership=membership)
    _check_not_own(scope=scope, membership=current)
    if current.person.is_superuser:
        raise KeepersFactor
    return showing.reset(person=current.person, at=at)


def _locked(*, scope: Scope, membership: Membership) -> Membership:
    rules.lock(contractor_id=scope.contractor_id)
    return Membership.objects.select_related("person").get(
        pk=membership.pk, contractor_id=scope.contractor_id
    )


def _check_not_own(*, scope: Scope, membership: Membership) -> None:
    if membership.pk == scope.membership_id:
        raise OwnMembership


def _store(membership: Membership) -> None:
    stays = membership.role == Role.OFFICE and membership.is_usable()
    others = Membership.objects.usable().filter(
        contractor_id=membership.contractor_id, role=Role.OFFICE
    )
    if not stays and not others.exclude(pk=membership.pk).exists():
        raise LastOfficePerson
    membership.version += 1
    membership.save()
