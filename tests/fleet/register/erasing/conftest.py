import pytest
from django.db import connections, transaction
from psycopg import sql

from fleet.models import Membership, Person
from tests import estates


@pytest.fixture
def world(tmp_path, settings):
    """Return two contractors with rows in every table, committed."""
    settings.MEDIA_ROOT = tmp_path
    with transaction.atomic():
        made = estates.world()
        technician = made.north.memberships["TECHNICIAN"].person
        Person.objects.filter(pk=technician.pk).update(
            first_name="Ada", last_name="Nemo (night)", email="ada.nemo+x@mail.example"
        )
        # Their neighbour's address and name begin as theirs do.
        Person.objects.filter(pk=made.north.memberships["OFFICE"].person_id).update(
            first_name="Ada", last_name="Nemo", email="bada.nemo+x@mail.example"
        )
        Membership.objects.filter(person=technician).update(
            qualification="rope inspector 4711", competent_until="2030-01-01"
        )
    return made


@pytest.fixture
def rows():
    """Return how many rows of each table hold a text, the owner's eyes on all."""

    def holding(text):
        with connections["owner"].cursor() as cursor:
            cursor.execute(
                "SELECT table_name FROM information_schema.tables "
                "WHERE table_schema = 'public' AND table_type = 'BASE TABLE'"
            )
            found = {}
            for (table,) in cursor.fetchall():
                query = "SELECT count(*) FROM {} AS t WHERE position(%s in t::text) > 0"
                cursor.execute(sql.SQL(query).format(sql.Identifier(table)), [text])
                found[table] = cursor.fetchone()[0]
            return {table: number for table, number in found.items() if number}

    return holding
