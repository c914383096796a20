"""The last reading of each kind at each place, against PostgreSQL's own DISTINCT ON."""

from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from django.utils import timezone

from inspections import corrections, queries
from inspections.models import Reading
from tests import callers, factories

pytestmark = pytest.mark.django_db


def test_they_are_those_that_the_database_tells_apart_itself():
    cast, chance = factories.cast(code="north"), Random(7)
    begun = datetime(2026, 5, 4, 9, tzinfo=UTC)
    readings = [
        {
            "reference": f"r-{number}",
            "value": f"11.{chance.randint(0, 9)}",
            "unit": "mm",
            "rope": chance.choice((1, 2)),
            "place": {"station": chance.choice(("top", "middle", "1"))},
            # Some at the same time, some sent in another order than read.
            "taken_at": str(begun + timedelta(hours=chance.randint(0, 9))),
        }
        for number in range(40)
    ]
    answer = callers.upload(cast, factories.upload(*readings))
    assert answer.json()["counts"]["stored"] == 40, answer.json()
    callers.confine(cast)
    scope, machine = cast.scope(), factories.machine(cast.scope())

    found = queries.last_readings(scope=scope, machine_id=machine.pk)

    usable = queries.usable_readings(
        scope=scope, machine_ids=[machine.pk], until=timezone.now()
    )
    told = usable.order_by(*corrections.PLACE, "-taken_at", "-pk")
    assert [r.pk for r in found] == [r.pk for r in told.distinct(*corrections.PLACE)]
    assert 1 < len(found) < Reading.objects.count()
