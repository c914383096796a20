"""Mails and reports over all contractors, each asked within its own ring."""

from datetime import UTC, datetime, timedelta

import pytest

from reports import metrics
from reports.models import Delivery, Report
from tests import callers, estates, factories

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)


def numbers():
    factories.forget_tenant()
    found = {family.name: family.samples for family in metrics.families(now=NOW)}
    return {
        name: {tuple(one.labels.values()): one.value for one in samples}
        for name, samples in found.items()
    }


def test_two_contractors_are_added_up():
    world = estates.world()
    rows = {"mails": 0, "reports": 0}
    for cast in (world.north, world.south):
        callers.confine(cast)
        rows["mails"] += Delivery.objects.count()
        rows["reports"] += Report.objects.count()

    found = numbers()

    assert min(rows.values()) >= 2
    assert sum(found["ropeseat_deliveries"].values()) == rows["mails"]
    assert sum(found["ropeseat_reports"].values()) == rows["reports"]


def test_the_mail_that_waits_longest_is_told():
    world = estates.world()
    for cast, waited_s in ((world.north, 30), (world.south, 300)):
        callers.confine(cast)
        Delivery.objects.update(
            state="QUEUED", created_at=NOW - timedelta(seconds=waited_s)
        )

    assert numbers()["ropeseat_delivery_oldest_waiting_age_seconds"] == {(): 300}

    callers.confine(world.south)
    Delivery.objects.update(state="SENT")
    assert numbers()["ropeseat_delivery_oldest_waiting_age_seconds"] == {(): 30}


def test_nothing_waits_where_nobody_is():
    found = numbers()

    assert found["ropeseat_delivery_oldest_waiting_age_seconds"] == {}
    assert found["ropeseat_deliveries"] == {}
