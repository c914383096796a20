"""Whose rows a piece of work may touch: the scope, and the second ring behind it.

Every query filters by a Scope. Behind that filter stands PostgreSQL's row-level
security, which compares each row with a setting local to the transaction; without
the setting no row is seen and none can be written.
"""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connections, transaction

from fleet.platform.database import standby

SETTING = "ropeseat.contractor"
# Who acts, as JSON; the database writes it beside each change
# (`fleet/platform/database/change_log.py`).
ACTOR = "ropeseat.actor"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """Who acts, for which contractor, and how far they see."""

    contractor_id: int
    membership_id: int | None = None
    role: str = ""
    owner_id: int | None = None
    token_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Actor:
    """Who changes rows, by which token, in which request, job or command."""

    membership_id: int | None = None
    token_id: int | None = None
    person_id: int | None = None
    via: str = ""
    request: str = ""

    def as_text(self) -> str:
        """Return what the setting holds."""
        found = {
            "membership": self.membership_id,
            "token": self.token_id,
            "person": self.person_id,
            "via": self.via[:_LONGEST_VIA],
            "request": self.request,
        }
        return json.dumps({name: value for name, value in found.items() if value})


_LONGEST_VIA = 200


def confine(*, contractor_id: int, actor: Actor | None = None) -> None:
    """Let the rest of the current transaction see one contractor's rows only.

    Its changes are written down as the actor's; without one, as whoever's was named
    before. Must be called inside a transaction; the settings end with it.
    """
    settings = {SETTING: str(int(contractor_id))}
    if actor is not None:
        settings[ACTOR] = actor.as_text()
    _set_locally(settings)


def act_as(actor: Actor) -> None:
    """Have the changes of the rest of the transaction written down as the actor's."""
    _set_locally({ACTOR: actor.as_text()})


def _set_locally(settings: dict[str, str]) -> None:
    connection = connections[standby.alias()]
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError(
            "tenancy.confine() needs a transaction: the setting ends with it"
        )
    calls = ", ".join("set_config(%s, %s, true)" for _ in settings)
    values = [part for pair in settings.items() for part in pair]
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {calls}", values)


@contextmanager
def acting_for(*, contractor_id: int, via: str = "") -> Iterator[Scope]:
    """Open a transaction confined to one contractor; for tasks and commands.

    `via` is told where its changes are written down.
    """
    with transaction.atomic():
        confine(contractor_id=contractor_id, actor=Actor(via=via) if via else None)
        yield Scope(contractor_id=contractor_id)
