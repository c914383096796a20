"""The rehearsal of a night sees what is missing, also where only a part is."""

import pytest
from django.db import connection

from tests import callers, factories
from tests.inspections.options import worn
from tests.rehearsals import night_left

pytestmark = pytest.mark.django_db


class Asked:
    """The database of the test, in the place of a service's."""

    def query(self, statement):
        with connection.cursor() as cursor:
            cursor.execute(statement)
            return cursor.fetchall()


@pytest.fixture(scope="module")
def worn_on():
    return worn.AT.isoformat()


@pytest.fixture
def night(with_worn):
    cast, machine = with_worn
    callers.confine(cast)
    return cast.contractor.pk, machine.pk


def lost(night):
    found = night_left.left_behind(Asked(), night[0])["without"]
    return {name: count for name, count in found.items() if count}


def test_what_is_missing_is_counted_by_what_it_is(night):
    contractor, machine = night
    before = lost(night)
    for statement, name in (
        ("UPDATE inspections_forecast SET current = false WHERE id = ("
         "SELECT min(id) FROM inspections_forecast WHERE current "
         "AND machine_id = {0})", "forecast_of_a_part"),
        ("UPDATE inspections_finding SET current = false WHERE machine_id = {0} "
         "AND rope_id = (SELECT min(rope_id) FROM inspections_finding)",
         "finding_of_a_rope"),
        ("UPDATE inspections_forecast SET current = false WHERE machine_id = {0}",
         "forecast"),
    ):  # fmt: skip
        with connection.cursor() as cursor:
            cursor.execute(statement.format(machine))
        after = lost(night)

        assert after.get(name, 0) == before.get(name, 0) + 1, name
    factories.forget_tenant()
    assert contractor
