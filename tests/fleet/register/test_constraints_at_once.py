"""What must never be stays so when two commit at the same time."""

import threading

import pytest
from django.db import IntegrityError, connection

from fleet.models import RopeInGroove
from fleet.platform.database import tenancy
from tests import factories


@pytest.mark.django_db(transaction=True)
def test_two_callers_at_once_do_not_put_two_ropes_into_one_groove():
    cast = factories.cast()
    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        seats = RopeInGroove.objects.filter(rope__rope_set__machine__code="MH-1")
        one, two = seats.filter(rope__number__in=(1, 2)).order_by("rope__number")
        # Groove 5 is free once its rope runs without one.
        seats.filter(rope__number=5).delete()
        groove = one.groove.sheave.grooves.get(number=5)
    start, failed = threading.Barrier(2), []

    def move(pk):
        try:
            start.wait(10)
            with tenancy.acting_for(contractor_id=cast.contractor.pk):
                RopeInGroove.objects.filter(pk=pk).update(groove=groove)
        except IntegrityError as error:
            failed.append(str(error))
        finally:
            connection.close()

    threads = [threading.Thread(target=move, args=(pk,)) for pk in (one.pk, two.pk)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)

    assert len(failed) == 1
    assert "runs in this groove" in failed[0]
