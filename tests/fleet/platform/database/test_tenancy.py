"""The life of the tenant's setting (fault 37)."""

import pytest
from django.db import transaction
from django.test import Client

from fleet.models import Building, Owner
from fleet.platform.database import tenancy
from tests import callers, factories
from tests.fleet.plain_sql import rows

pytestmark = pytest.mark.django_db


# --- the setting's life; fault 37 -----------------------------------------------------
@pytest.mark.django_db(transaction=True)
def test_the_setting_is_gone_after_the_transaction():
    cast = factories.cast()

    with tenancy.acting_for(contractor_id=cast.contractor.pk):
        assert Owner.objects.count() == 2

    assert Owner.objects.count() == 0
    assert rows("SELECT nullif(current_setting(%s, true), '')", tenancy.SETTING) == [
        (None,)
    ]


@pytest.mark.django_db(transaction=True)
def test_two_contractors_on_one_connection_never_mix():
    casts = [factories.cast(code="north"), factories.cast(code="south")]

    for _ in range(3):
        for cast in casts:
            answer = Client().get("/api/v1/owners", headers=cast.headers())
            seen = {row["id"] for row in answer.json()["results"]}
            with tenancy.acting_for(contractor_id=cast.contractor.pk):
                own = set(Owner.objects.values_list("pk", flat=True))
            assert seen == own
            assert Owner.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_a_failed_transaction_leaves_no_setting_behind():
    cast = factories.cast()

    with (
        pytest.raises(RuntimeError),
        tenancy.acting_for(contractor_id=cast.contractor.pk),
    ):
        raise RuntimeError

    assert Owner.objects.count() == 0


@pytest.mark.django_db(transaction=True)
def test_confining_needs_a_transaction():
    with pytest.raises(transaction.TransactionManagementError, match="ends with it"):
        tenancy.confine(contractor_id=1)


@pytest.mark.django_db(transaction=True)
def test_a_reference_checked_at_the_end_is_a_problem_and_not_a_failure(monkeypatch):
    # Even if a serializer forgot to look: the commit refuses, the caller is told.
    north, south = factories.cast(code="north"), factories.cast(code="south")
    with tenancy.acting_for(contractor_id=south.contractor.pk):
        foreign = Owner.objects.first().pk
    with tenancy.acting_for(contractor_id=north.contractor.pk):
        building = Building.objects.first()

    def careless(self, attrs):
        return attrs | {"owner": Owner(pk=foreign)}

    monkeypatch.setattr("fleet.platform.api.fields.TenantSerializer.validate", careless)
    answer = Client(raise_request_exception=False).patch(
        f"/api/v1/buildings/{building.pk}",
        {"name": "X"},
        content_type="application/json",
        headers=north.headers() | {"If-Match": "*"},
    )

    assert callers.is_problem(answer, 422, "refers-to-nothing")
    with tenancy.acting_for(contractor_id=north.contractor.pk):
        assert Building.objects.get(pk=building.pk).name == building.name
