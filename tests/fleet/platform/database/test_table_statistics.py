"""Large imports tell the planner at once what they have stored."""

import psycopg
import pytest
from django.db import ProgrammingError

from fleet.models import Owner
from fleet.platform.database import roles, table_statistics
from tests.fleet.plain_sql import rows
from tests.fleet.register.exchange import files

pytestmark = pytest.mark.django_db

FUNCTION = "refresh_statistics(text[])"


@pytest.fixture(autouse=True)
def many(monkeypatch):
    monkeypatch.setattr(table_statistics, "MANY", 20)


def counted():
    ((count,),) = rows("SELECT reltuples FROM pg_class WHERE relname = 'fleet_owner'")
    return count


def owners(first, last):
    return "code,name\n" + "".join(f"o-{n},Owner {n}\n" for n in range(first, last))


def test_a_large_import_is_counted_before_it_is_committed():
    scope = files.empty_scope()

    outcome = files.bring_in(scope, "owners", owners(0, 30))

    assert outcome.errors == ()
    assert counted() == 30


def test_a_small_import_is_left_to_the_server():
    scope = files.empty_scope()
    files.bring_in(scope, "owners", owners(0, 30))

    files.bring_in(scope, "owners", owners(30, 40))

    assert Owner.objects.within(scope).count() == 40
    assert counted() == 30


def test_only_the_application_may_have_tables_counted():
    allowed = {
        role
        for role in (roles.APP, roles.QUEUE)
        if rows("SELECT has_function_privilege(%s, %s, 'EXECUTE')", role, FUNCTION)
        == [(True,)]
    }

    assert allowed == {roles.APP}


def test_a_table_is_named_and_nothing_else():
    with pytest.raises(ProgrammingError) as refusal:
        rows("SELECT refresh_statistics(%s)", ["fleet_owner; DROP TABLE fleet_owner"])

    assert isinstance(refusal.value.__cause__, psycopg.errors.UndefinedTable)
