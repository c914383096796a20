"""What holds for every membership, whoever changes it."""

from fleet.platform.choices import Role
from fleet.platform.errors import Unprocessable
from fleet.platform.models import Contractor


class OwnerRule(Unprocessable):
    """An owner's reader has an owner, and nobody else has one."""

    code = "owner-and-role"


def check_owner(*, role: str, owner_id: int | None) -> None:
    """Raise OwnerRule unless the owner fits the role."""
    if (role == Role.OWNER_READER) != (owner_id is not None):
        raise OwnerRule(pointer="/owner")


def lock(*, contractor_id: int) -> Contractor:
    """Let nobody else change this contractor's people until the transaction ends.

    Rows that only point at the contractor, such as uploads, are not held up.
    """
    return Contractor.objects.select_for_update(no_key=True).get(pk=contractor_id)
