"""Whose rows a piece of work may touch: the scope, and the second ring behind it.

Every query filters by a Scope. Behind that filter stands PostgreSQL's row-level
security, which compares each row with a setting local to the transaction; without
the setting no row is seen and none can be written.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connection, transaction

SETTING = "ropeseat.contractor"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """Who acts, for which contractor, and how far they see."""

    contractor_id: int
    membership_id: int | None = None
    role: str = ""
    owner_id: int | None = None
    token_id: int | None = None


def confine(*, contractor_id: int) -> None:
    """Let the rest of the current transaction see one contractor's rows only.

    Must be called inside a transaction; the setting ends with it.
    """
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "tenancy.confine() needs a transaction: the setting ends with it"
        )
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT set_config(%s, %s, true)", [SETTING, str(int(contractor_id))]
        )


@contextmanager
def acting_for(*, contractor_id: int) -> Iterator[Scope]:
    """Open a transaction confined to one contractor; for tasks and commands."""
    with transaction.atomic():
        confine(contractor_id=contractor_id)
        yield Scope(contractor_id=contractor_id)
