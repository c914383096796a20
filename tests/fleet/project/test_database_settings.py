import pytest
from django.contrib.contenttypes.models import ContentType
from django.db import ProgrammingError, connection, connections
from django.db.migrations.recorder import MigrationRecorder

pytestmark = pytest.mark.django_db


def fetch(text):
    with connection.cursor() as cursor:
        cursor.execute(text)
        return cursor.fetchall()


def test_tests_run_as_a_role_that_owns_nothing():
    owned = "SELECT relname FROM pg_class WHERE relowner = current_user::regrole"
    powers = (
        "SELECT rolsuper, rolbypassrls, rolcreatedb, rolcreaterole FROM pg_roles "
        "WHERE rolname = current_user"
    )

    assert fetch(owned) == []
    assert fetch(powers) == [(False, False, False, False)]


def test_app_role_cannot_change_tables():
    with pytest.raises(ProgrammingError, match="permission denied for schema"):
        fetch("CREATE TABLE mine ()")


def test_migrations_stand_under_the_owner():
    recorded = MigrationRecorder(connections["default"]).applied_migrations()

    assert ("fleet", "0001_initial") in recorded
    assert fetch(
        "SELECT DISTINCT tableowner FROM pg_tables WHERE schemaname = 'public'"
    ) == [(connections["owner"].settings_dict["USER"],)]


@pytest.mark.django_db(transaction=True)
def test_committing_test_leaves_what_django_needs():
    assert ContentType.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_next_committing_test_still_has_it():
    assert ContentType.objects.exists()
