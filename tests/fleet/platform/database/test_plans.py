"""Whole tables are joined as such, however few rows the planner expects."""

import pytest
from django.db import connection

from fleet.models import Machine
from fleet.platform.database import plans

pytestmark = pytest.mark.django_db


def plan():
    joined = Machine.objects.order_by("pk").values_list("code", "sheaves__contractor")
    return joined.explain()


def test_no_row_is_looked_for_by_itself_inside_the_block():
    before = plan()

    with plans.of_whole_tables(using="default"):
        inside = plan()

    assert "Nested Loop" in before
    assert "Nested Loop" not in inside
    assert plan() == before
    with connection.cursor() as cursor:
        cursor.execute("SHOW enable_nestloop")
        assert cursor.fetchone() == ("on",)
