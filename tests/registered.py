"""A portfolio that was registered once is put back by one statement.

Nearly every test begins with the same contractor. The first test of a process registers
it, by the activity that the application calls; what that stored is read back and put in
again for the next, with the same ids, which the first test's rollback has freed. A
sequence never goes back, so that no other row takes them.
"""

import json
from typing import Any

from django.db import connection, models, transaction
from django.utils import timezone
from psycopg import sql

from fleet.models import (
    Building,
    Contractor,
    Groove,
    Machine,
    Membership,
    Owner,
    Person,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
)
from fleet.platform.database import tenancy
from fleet.register import registry

# Parents first.
TABLES = (
    *(Owner, Membership, Building, Machine, Sheave, SheaveGeometry, Groove),
    *(RopeSet, Rope, RopeInGroove),
)
# Stands for the time at which a row is put in.
_NOW = "@now@"
_statements: dict[str, tuple[int, str]] = {}


@transaction.atomic
def again(*, portfolio: dict[str, Any]) -> Contractor:
    """Store a portfolio as registering it does."""
    code = portfolio["contractor"]["code"]
    if code not in _statements:
        made = registry.register(portfolio=portfolio)
        _statements[code] = made.pk, _statement(made)
        return made
    pk, statement = _statements[code]
    with connection.cursor() as cursor:
        cursor.execute(statement.replace(_NOW, timezone.now().isoformat()))
    return Contractor.objects.get(pk=pk)


def _statement(contractor: Contractor) -> str:
    """Return what stores a contractor's rows as they stand; times are set anew."""
    people = Person.objects.filter(memberships__contractor=contractor)
    rows = [(Contractor, Contractor.objects.filter(pk=contractor.pk)), (Person, people)]
    rows += [(each, each.objects.filter(contractor=contractor)) for each in TABLES]
    confine = f"SELECT set_config('{tenancy.SETTING}', '{contractor.pk}', true)"
    contractors, *others = [_insert(model, found) for model, found in rows]
    return "; ".join([contractors, confine, *others])


def _insert(model: type[models.Model], rows: models.QuerySet[Any]) -> str:
    fields = model._meta.local_concrete_fields
    columns = [each.column for each in fields if not _is_told_by_the_server(each)]
    times = [each.column for each in fields if _is_time(each)]
    with connection.cursor() as cursor:
        query, given = rows.order_by("pk").query.sql_with_params()
        cursor.execute(f"SELECT json_agg(to_jsonb(t)) FROM ({query}) AS t", given)
        found = cursor.fetchone()[0] or []
    if isinstance(found, str):
        found = json.loads(found)
    for row in found:
        row.update(dict.fromkeys(times, _NOW))
    text = sql.SQL(
        "INSERT INTO {table} ({columns}) SELECT {columns} "
        "FROM json_populate_recordset(NULL::{table}, {rows})"
    ).format(
        table=sql.Identifier(model._meta.db_table),
        columns=sql.SQL(", ").join(map(sql.Identifier, columns)),
        rows=sql.Literal(json.dumps(found)),
    )
    return text.as_string(connection.connection)


def _is_time(field: Any) -> bool:
    return isinstance(field, models.DateTimeField) and not field.null


def _is_told_by_the_server(field: Any) -> bool:
    return _is_time(field) and field.has_db_default()
