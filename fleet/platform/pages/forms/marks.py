"""The mark in each form: whose it is, and a reference that is good for one act.

It is signed, so that a form names its person even where the session has ended, and
nobody can make one for somebody else.
"""

import uuid
from dataclasses import dataclass

from django.core import signing

from fleet.platform.database.tenancy import Scope

FIELD = "mark"
# Longer than any session, so that what was left over a weekend still comes back.
LONGEST_S = 7 * 86_400
_SALT = "fleet.platform.pages.forms"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """Whose form it is, and its reference."""

    contractor_id: int
    membership_id: int
    reference: uuid.UUID

    def is_of(self, scope: Scope) -> bool:
        """Tell whether the form was opened by whoever acts now."""
        own = (scope.contractor_id, scope.membership_id)
        return (self.contractor_id, self.membership_id) == own

    def scope(self) -> Scope:
        """Return a scope that sees this person's own forms."""
        return Scope(contractor_id=self.contractor_id, membership_id=self.membership_id)


def fresh(scope: Scope, *, reference: uuid.UUID | None = None) -> str:
    """Return the mark of a form that is about to be shown."""
    named = (reference or uuid.uuid4()).hex
    return signing.dumps(
        [scope.contractor_id, scope.membership_id or 0, named], salt=_SALT
    )


def read(text: str) -> Mark | None:
    """Return what a mark says; None for one that is too old, or that we never made."""
    try:
        contractor_id, membership_id, named = signing.loads(
            text[:500], salt=_SALT, max_age=LONGEST_S
        )
    except signing.BadSignature:
        return None
    return Mark(
        contractor_id=contractor_id,
        membership_id=membership_id,
        reference=uuid.UUID(named),
    )
