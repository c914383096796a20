"""What is put back is what registering stores, and the database has looked at it."""

import pytest
from django.db import connection, transaction

from fleet.models import Person
from tests import factories, registered

pytestmark = pytest.mark.django_db


def rows(contractor):
    found = {
        model: model.objects.filter(contractor=contractor)
        for model in registered.TABLES
    }
    found[Person] = Person.objects.filter(memberships__contractor=contractor)
    return {
        model: [
            {
                name: row[name]
                for name in row
                if name not in ("created_at", "date_joined")
            }
            for row in each.order_by("pk").values()
        ]
        for model, each in found.items()
    }


def test_the_second_cast_is_the_first_one_again(monkeypatch):
    monkeypatch.setattr(registered, "_statements", {})
    with transaction.atomic():
        stored = rows(factories.cast(code="again").contractor)
        transaction.set_rollback(True)

    second = factories.cast(code="again")

    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    assert rows(second.contractor) == stored
    assert [len(found) for found in stored.values()] == [
        2,
        3,
        2,
        2,
        2,
        2,
        10,
        2,
        10,
        10,
        3,
    ]
    assert second.contractor.created_at is not None
