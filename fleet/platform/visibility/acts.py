"""What can be done at a door: by which roles, with keys that are good for what."""

from collections.abc import Mapping
from dataclasses import dataclass

from fleet.platform.choices import Role, TokenScope
from fleet.platform.database.tenancy import Scope


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing that can be done.

    `keys` names the roles that may do it, each with what a device's key must be good
    for; a logged-in person needs the role alone. `by_phone` is for what a paired phone
    does too, at the few doors that take its cookie.
    """

    words: str
    keys: Mapping[str, str]
    by_phone: bool = False

    def allows(self, scope: Scope | None, *, good_for: list[str] | None) -> bool:
        """Tell whether a scope may do it; `good_for` are the uses of its key."""
        if scope is None or scope.role not in self.keys:
            return False
        if good_for is None or self.keys[scope.role] in good_for:
            return True
        return self.by_phone and TokenScope.FIELD in good_for


def _by(key: str, *roles: str) -> Mapping[str, str]:
    return dict.fromkeys(roles, key)


READ = Act(
    words="read what one's own tables and rows show",
    keys=_by(TokenScope.READ, *Role.values),
)
READ_AS_STAFF = Act(
    words="read what the contractor works with",
    keys=_by(TokenScope.READ, Role.OFFICE, Role.TECHNICIAN),
)
READ_AS_OFFICE = Act(
    words="read the contractor's own business",
    keys=_by(TokenScope.READ, Role.OFFICE),
)
CHANGE = Act(
    words="change the register, plans, terms and people",
    keys=_by(TokenScope.WRITE, Role.OFFICE),
)
BRING_IN = Act(
    words="bring in readings and photos",
    keys=_by(TokenScope.UPLOAD, Role.OFFICE, Role.TECHNICIAN),
    by_phone=True,
)
REPORT = Act(
    words="report work done, and a word on a reading, visit or stop",
    # The technician's key that uploads is the one in the machine room.
    keys={Role.OFFICE: TokenScope.WRITE, Role.TECHNICIAN: TokenScope.UPLOAD},
    by_phone=True,
)
ANSWER = Act(
    words="answer, for a building's owner, work that is to be decided",
    keys=_by(TokenScope.WRITE, Role.OWNER_READER),
)
TAKE_OUT = Act(
    words="have a file made of what one sees, and remove it",
    keys=_by(TokenScope.READ, *Role.values),
)
TAKE_ALONG = Act(
    words="take along, on a paired phone, what is to be measured",
    keys=_by(TokenScope.FIELD, Role.OFFICE, Role.TECHNICIAN),
)
EVERY = (
    READ,
    READ_AS_STAFF,
    READ_AS_OFFICE,
    CHANGE,
    BRING_IN,
    REPORT,
    ANSWER,
    TAKE_OUT,
    TAKE_ALONG,
)
