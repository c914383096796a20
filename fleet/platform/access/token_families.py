"""Families of keys: a key, those before it, those that replaced it, those it made.

A family ends as one. A rotated key that comes after its successor was used is in two
hands, and nobody can tell which of them is the thief's: it ends its family too. So does
a second successor of one key: whoever lost the first in an answer never uses it.
"""

import logging
from datetime import datetime

from django.db import connection, transaction

from fleet.platform import security_log
from fleet.platform.database import tenancy
from fleet.platform.database.tenancy import Actor
from fleet.platform.models import Token
from fleet.platform.queue import jobs, tasks

logger = logging.getLogger(__name__)

REUSED = "a rotated key came after its successor"
# The job that mails the office of it, by the id of the key that came again.
TELL_OF_REUSE = "fleet.tasks.tell_of_reuse"
_MEMBERS = """
WITH RECURSIVE upwards AS (
    SELECT id, replaces_id FROM fleet_token WHERE id = %s
    UNION SELECT t.id, t.replaces_id FROM fleet_token t
    JOIN upwards ON t.id = upwards.replaces_id
), members AS (
    SELECT id FROM upwards
    UNION SELECT t.id FROM fleet_token t
    JOIN members ON members.id IN (t.replaces_id, t.issued_by_id)
) SELECT id FROM members
"""
_LATER_AND_USED = """
WITH RECURSIVE later AS (
    SELECT id, last_used_at FROM fleet_token WHERE replaces_id = %s AND id <> %s
    UNION SELECT t.id, t.last_used_at FROM fleet_token t
    JOIN later ON t.replaces_id = later.id
) SELECT EXISTS (SELECT FROM later WHERE last_used_at IS NOT NULL)
"""


def members(token: Token) -> set[int]:
    """Return the ids of a token's family, its own among them."""
    with connection.cursor() as cursor:
        cursor.execute(_MEMBERS, [token.pk])
        return {pk for (pk,) in cursor.fetchall()}


@transaction.atomic
def end(*, token: Token, at: datetime) -> int:
    """Make all keys of a family void at once; return how many were valid until now."""
    known: set[int] = set()
    # A rotation that is under way holds its key's row, and adds one to the family.
    while known != (found := members(token)):
        known = found
        list(Token.objects.select_for_update().filter(pk__in=known).order_by("pk"))
    return Token.objects.filter(pk__in=known, revoked_at=None).update(revoked_at=at)


def was_succeeded(token: Token) -> bool:
    """Tell whether a key that came after this one has been used already."""
    return _is_used(after=token.pk, but=0)


def was_rivalled(token: Token) -> bool:
    """Tell whether another successor of the same key, or one after it, was used."""
    return token.replaces_id is not None and _is_used(
        after=token.replaces_id, but=token.pk
    )


def _is_used(*, after: int, but: int) -> bool:
    with connection.cursor() as cursor:
        cursor.execute(_LATER_AND_USED, [after, but])
        [(used,)] = cursor.fetchall()
    return bool(used)


def end_reused(*, token: Token, at: datetime) -> None:
    """End the family of a rotated key that came again, and tell of it.

    The office is mailed; it stands in the log and, as the act of that key, in the log
    of changes.
    """
    membership = token.membership
    with transaction.atomic():
        tenancy.act_as(
            Actor(membership_id=membership.pk, token_id=token.pk, via=REUSED)
        )
        ended = end(token=token, at=at)
        ids = jobs.write(
            kind=TELL_OF_REUSE,
            contractor_id=membership.contractor_id,
            subject_ids=[token.pk],
            due_at=at,
        )
        tasks.wake_after_commit(job_ids=ids, kind=TELL_OF_REUSE)
    security_log.tell("key-reused", grave=True, key=token.pk, ended=ended)
    logger.warning(
        "%s: token %s of membership %s, contractor %s; %s keys ended",
        REUSED,
        token.pk,
        membership.pk,
        membership.contractor_id,
        ended,
    )
