"""A whole contractor goes: rows, history, people and files; that it was done stays."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.conf import settings
from django.contrib.admin.models import LogEntry
from django.core.files.storage import default_storage
from django.db import connections
from django.db.backends.utils import CursorWrapper
from psycopg import sql

from fleet.platform.errors import Conflict
from fleet.platform.models import Contractor, Membership, Person, SecondFactor
from fleet.register.erasing import log

VIA = "manage.py erase_contractor"
_CHANGES = "fleet_change"


class NotRetired(Conflict):
    """The contractor is still served: give it a day of retirement first."""

    code = "contractor-not-retired"


@dataclass(frozen=True, slots=True, kw_only=True)
class Belongings:
    """What is a contractor's: table -> rows, people of it alone, names of files."""

    rows: Mapping[str, int]
    person_ids: tuple[int, ...]
    files: tuple[str, ...]


def belongings(contractor: Contractor) -> Belongings:
    """Return what would go; changes nothing. Raises NotRetired."""
    if contractor.retired_on is None:
        raise NotRetired
    with connections[log.OWNER].cursor() as cursor:
        counted = {
            table: _count(cursor, table, contractor.pk) for table in tables(cursor)
        }
        files = [
            name
            for table, column in settings.FILES_NAMED_IN
            for name in _named(cursor, table, column, contractor.pk)
        ]
    mine = Membership.objects.filter(contractor=contractor).values("person_id")
    elsewhere = Membership.objects.exclude(contractor=contractor).values("person_id")
    people = Person.objects.filter(pk__in=mine, is_superuser=False).exclude(
        pk__in=elsewhere
    )
    return Belongings(
        rows={table: number for table, number in counted.items() if number},
        person_ids=tuple(people.order_by("pk").values_list("pk", flat=True)),
        files=tuple(sorted(set(files))),
    )


def erase(contractor: Contractor) -> Belongings:
    """Remove everything of a contractor; one line about it stays. Raises NotRetired.

    Files go after the rows: what is left by a broken-off call is named by nobody, and
    its names are logged by whoever calls.
    """
    found = belongings(contractor)
    with log.opened(via=VIA) as cursor:
        for statement in (_PHONES, _CODES, _KEYS):
            cursor.execute(statement, [contractor.pk])
        SecondFactor.objects.using(log.OWNER).filter(
            person_id__in=found.person_ids
        ).delete()
        for table in tables(cursor):
            _delete(cursor, table, contractor.pk)
        LogEntry.objects.using(log.OWNER).filter(user_id__in=found.person_ids).delete()
        Person.objects.using(log.OWNER).filter(pk__in=found.person_ids).delete()
        # Last, for each removal above was written down in it.
        _delete(cursor, _CHANGES, contractor.pk)
        _blank(cursor, contractor)
    for name in found.files:
        default_storage.delete(name)
    return found


_PHONES = """
DELETE FROM fleet_phone USING fleet_token AS t, fleet_membership AS m
WHERE t.id = token_id AND m.id = t.membership_id AND m.contractor_id = %s
"""
_CODES = """
DELETE FROM fleet_pairingcode USING fleet_membership AS m
WHERE m.id = membership_id AND m.contractor_id = %s
"""
_KEYS = """
DELETE FROM fleet_token USING fleet_membership AS m
WHERE m.id = membership_id AND m.contractor_id = %s
"""


def tables(cursor: CursorWrapper) -> list[str]:
    """Return every table with rows of contractors, the log itself left out."""
    cursor.execute(
        "SELECT table_name FROM information_schema.columns "
        "JOIN information_schema.tables USING (table_schema, table_name) "
        "WHERE table_schema = 'public' AND column_name = 'contractor_id' "
        "AND table_type = 'BASE TABLE' AND table_name <> %s ORDER BY table_name",
        [_CHANGES],
    )
    return [name for (name,) in cursor.fetchall()]


def _blank(cursor: CursorWrapper, contractor: Contractor) -> None:
    erased = f"{log.ERASED}-{contractor.pk}"
    Contractor.objects.using(log.OWNER).filter(pk=contractor.pk).update(
        name=erased, code=erased, responsible_person="", telephone=""
    )
    log.hide_fields(
        cursor,
        table="fleet_contractor",
        ids=[contractor.pk],
        names=("name", "code", "responsible_person", "telephone"),
    )


def _count(cursor: CursorWrapper, table: str, contractor_id: int) -> int:
    cursor.execute(_of("SELECT count(*) FROM {}", table), [contractor_id])
    return int(cursor.fetchone()[0])


def _delete(cursor: CursorWrapper, table: str, contractor_id: int) -> None:
    cursor.execute(_of("DELETE FROM {}", table), [contractor_id])


def _named(
    cursor: CursorWrapper, table: str, column: str, contractor_id: int
) -> list[str]:
    names = sql.SQL("SELECT {} FROM {{}}").format(sql.Identifier(column))
    cursor.execute(_of(names.as_string(), table), [contractor_id])
    return [name for (name,) in cursor.fetchall() if name]


def _of(statement: str, table: str) -> sql.Composed:
    return sql.SQL(statement + " WHERE contractor_id = %s").format(
        sql.Identifier(table)
    )
