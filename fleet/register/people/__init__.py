"""A contractor's people: invited by the office, changed, and let go."""

from fleet.register.people.alarm import tell_of_reuse
from fleet.register.people.changing import (
    LastOfficePerson,
    OwnMembership,
    change,
    deactivate,
    reactivate,
    reset_factor,
)
from fleet.register.people.factor_news import tell_of_factor
from fleet.register.people.inviting import (
    SEND_LINK,
    AlreadyMember,
    Deactivated,
    NoPublicAddress,
    invite,
    send_again,
)
from fleet.register.people.letter import send
from fleet.register.people.links import address, opened_by
from fleet.register.people.names import called, names_of
from fleet.register.people.rules import OwnerRule

__all__ = [
    "SEND_LINK",
    "AlreadyMember",
    "Deactivated",
    "LastOfficePerson",
    "NoPublicAddress",
    "OwnMembership",
    "OwnerRule",
    "address",
    "called",
    "change",
    "deactivate",
    "invite",
    "names_of",
    "opened_by",
    "reactivate",
    "reset_factor",
    "send",
    "send_again",
    "tell_of_factor",
    "tell_of_reuse",
]
