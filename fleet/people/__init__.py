"""A contractor's people: invited by the office, changed, and let go."""

from fleet.people.changing import (
    LastOfficePerson,
    OwnMembership,
    change,
    deactivate,
    reactivate,
)
from fleet.people.inviting import (
    SEND_LINK,
    AlreadyMember,
    Deactivated,
    NoPublicAddress,
    invite,
    send_again,
)
from fleet.people.letter import send
from fleet.people.links import address, opened_by
from fleet.people.rules import OwnerRule

__all__ = [
    "SEND_LINK",
    "AlreadyMember",
    "Deactivated",
    "LastOfficePerson",
    "NoPublicAddress",
    "OwnMembership",
    "OwnerRule",
    "address",
    "change",
    "deactivate",
    "invite",
    "opened_by",
    "reactivate",
    "send",
    "send_again",
]
