"""Whether a session or a key may act, as far as the second factor goes.

Asked where the scope of a request is set, so that nothing is reached around it.
"""

from enum import Enum

from django.conf import settings
from django.http import HttpRequest

from fleet.platform.access import sessions
from fleet.platform.choices import Role
from fleet.platform.models import Membership, Person, SecondFactor, Token
from fleet.platform.models.second_factor import FactorKind


class FactorStanding(Enum):
    """What is still to be done before a session may act; values are stable codes."""

    OPEN = ""
    SHOW = "second-factor-required"
    SET_UP = "second-factor-not-set-up"


def has_factor(*, person_id: int) -> bool:
    """Tell whether the person has set up a second factor."""
    return SecondFactor.objects.usable().filter(person_id=person_id).exists()


def kinds_of(membership: Membership) -> list[str]:
    """Return the kinds of second factors that a person has, nothing of them itself.

    What was fetched beforehand (`person__second_factors`) is not asked for again.
    """
    return sorted({row.kind for row in usable_of(membership)})


def usable_of(membership: Membership) -> list[SecondFactor]:
    """Return what counts as a second factor; recovery codes are none by themselves."""
    rows = membership.person.second_factors.all()
    return [r for r in rows if r.confirmed_at and r.kind != FactorKind.RECOVERY]


def of_session(
    request: HttpRequest, *, person: Person, membership: Membership | None
) -> FactorStanding:
    """Return what is missing in a session; whoever has a factor is always asked."""
    if sessions.has_shown_factor(request):
        return FactorStanding.OPEN
    if has_factor(person_id=person.pk):
        return FactorStanding.SHOW
    if is_required(person=person, membership=membership):
        return FactorStanding.SET_UP
    return FactorStanding.OPEN


def admits_key(token: Token) -> bool:
    """Tell whether a key may act: was it issued behind the factor that is wanted?"""
    return token.with_factor or not is_required_of(token.membership)


def is_required_of(membership: Membership) -> bool:
    """Tell whether the contractor wants a second factor of this person."""
    contractor = membership.contractor
    return contractor.everybody_needs_second_factor or (
        membership.role == Role.OFFICE and contractor.office_needs_second_factor
    )


def is_required(*, person: Person, membership: Membership | None) -> bool:
    """Tell whether the person must have one: by the contractor's word, or as root."""
    if person.is_superuser and settings.SUPERUSER_SECOND_FACTOR:
        return True
    return membership is not None and is_required_of(membership)
