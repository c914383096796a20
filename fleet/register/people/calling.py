"""Whom to call: the responsible person of the contractor and of a building's owner."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from fleet.platform import printing
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict
from fleet.platform.models import Contractor
from fleet.register.models import Owner


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """One who can be called; `person` and `telephone` are "" where nobody said.

    `owner_id` is None for the contractor itself.
    """

    name: str
    person: str
    telephone: str
    owner_id: int | None = None

    @property
    def digits(self) -> str:
        """The number as a telephone dials it (RFC 3966): digits and a leading plus."""
        return dialled(self.telephone)


def dialled(telephone: str) -> str:
    """Return a number as a telephone dials it."""
    kept = "".join(c for c in telephone if c.isascii() and c.isdigit())
    return f"+{kept}" if telephone.strip().startswith("+") else kept


def to_call(*, scope: Scope, owner: Owner | None = None) -> tuple[Call, ...]:
    """Return whom somebody who is asked to act can call: contractor, then the owner."""
    contractor = Contractor.objects.get(pk=scope.contractor_id)
    found = [
        Call(
            name=contractor.name,
            person=contractor.responsible_person,
            telephone=contractor.telephone,
        )
    ]
    if owner is not None:
        found.append(
            Call(
                name=owner.name,
                person=owner.responsible_person,
                telephone=owner.telephone,
                owner_id=owner.pk,
            )
        )
    return tuple(found)


class OwnFactorFirst(Conflict):
    """Show a second factor yourself before you ask others for one."""

    code = "own-factor-first"


def change(
    *, contractor: Contractor, fields: Mapping[str, Any], is_behind_factor: bool
) -> Contractor:
    """Store what the contractor says of itself; the row is held by the caller.

    `is_behind_factor` tells whether who asks has shown a second factor. Raises
    Unprintable, OwnFactorFirst.
    """
    printing.check(fields)
    for name in ("office_needs_second_factor", "everybody_needs_second_factor"):
        is_new = fields.get(name, False) and not getattr(contractor, name)
        if is_new and not is_behind_factor:
            raise OwnFactorFirst(pointer=f"/{name}")
    for name, value in fields.items():
        setattr(contractor, name, value)
    contractor.save(update_fields=list(fields))
    return contractor


def mark(contractor: Contractor) -> str:
    """Return what tells two states of whom to call apart, "" where nobody is named."""
    said = (contractor.responsible_person, contractor.telephone)
    if said == ("", ""):
        return ""
    return "-" + hashlib.sha256(repr(said).encode()).hexdigest()[:12]
