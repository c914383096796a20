"""Keys of devices: what is kept, and who is let in."""

import hashlib
from datetime import UTC, date, datetime, timedelta

import pytest
from django.db import IntegrityError, connection, transaction

from fleet.models import Token
from fleet.platform.access import tokens
from tests import callers, factories

pytestmark = pytest.mark.django_db

NOW = factories.NOW


@pytest.fixture
def key(north):
    return tokens.issue(
        membership=north.memberships["TECHNICIAN"],
        device="gloves-proof phone",
        scopes=["UPLOAD"],
        issued_at=NOW,
    )


def test_a_key_finds_its_token(key):
    found = tokens.find(key=key, at=NOW)

    assert found is not None
    assert found.device == "gloves-proof phone"


def test_only_a_digest_is_kept(key):
    secret = key.split("_", 2)[2]

    with connection.cursor() as cursor:
        cursor.execute("SELECT token::text FROM fleet_token AS token")
        rows = "".join(row[0] for row in cursor.fetchall())

    assert secret not in rows
    assert hashlib.sha256(secret.encode()).hexdigest() in rows


def test_two_keys_are_never_alike(north):
    keys = {
        tokens.issue(
            membership=north.memberships["OFFICE"],
            device="d",
            scopes=["READ"],
            issued_at=NOW,
        )
        for _ in range(20)
    }

    assert len(keys) == 20
    assert all(len(key.split("_", 2)[2]) >= 43 for key in keys)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda key: key[:-1],
        lambda key: key + "x",
        lambda key: key.upper(),
        lambda key: key.replace("rseat", "other"),
        lambda key: key.replace("_", "-"),
        lambda key: "rseat_" + "0" * 12 + key[18:],
        lambda key: "",
        lambda key: "rseat__",
        lambda key: "rseat_é_x",
        lambda key: "rseat_\0_x",
    ],
)
def test_a_spoiled_key_finds_nothing(key, spoil):
    assert tokens.find(key=spoil(key), at=NOW) is None


def test_an_expired_key_finds_nothing(key):
    assert tokens.find(key=key, at=NOW + tokens.LIFETIME) is None
    assert tokens.find(key=key, at=NOW + tokens.LIFETIME - timedelta(seconds=1))


def test_a_token_needs_a_scope_and_a_future(north):
    for fields in ({"scopes": []}, {"lifetime": timedelta(days=-10_000)}):
        wanted = {"scopes": ["READ"]} | fields
        with pytest.raises(IntegrityError), transaction.atomic():
            tokens.issue(
                membership=north.memberships["OFFICE"],
                device="d",
                issued_at=NOW,
                **wanted,
            )


def _revoke(cast):
    Token.objects.filter(membership=cast.memberships["TECHNICIAN"]).update(
        revoked_at=datetime.now(tz=UTC)
    )


def _deactivate(cast):
    membership = cast.memberships["TECHNICIAN"]
    membership.deactivated_at = datetime.now(tz=UTC)
    membership.save()


def _lock_out(cast):
    person = cast.memberships["TECHNICIAN"].person
    person.is_active = False
    person.save()


def _retire(cast):
    cast.contractor.retired_on = date(2026, 1, 1)
    cast.contractor.save()


def _expire(cast):
    Token.objects.filter(membership=cast.memberships["TECHNICIAN"]).update(
        created_at=datetime(2020, 1, 1, tzinfo=UTC),
        expires_at=datetime(2021, 1, 1, tzinfo=UTC),
    )


@pytest.mark.parametrize("end", [_revoke, _deactivate, _lock_out, _retire, _expire])
def test_who_is_no_longer_there_is_not_let_in(north, end):
    assert callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN").json()

    end(north)

    answer = callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")
    assert callers.is_problem(answer, 401, "authentication-failed")
    assert "Bearer" in answer["WWW-Authenticate"]


def test_the_last_use_is_noted_but_not_at_every_call(north):
    callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")
    first = Token.objects.get(membership=north.memberships["TECHNICIAN"]).last_used_at
    callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")

    second = Token.objects.get(membership=north.memberships["TECHNICIAN"]).last_used_at
    assert first is not None
    assert second == first


def test_a_key_appears_in_no_log_and_no_answer(north, caplog):
    # Fault 39, with a failure on the way.
    caplog.set_level("DEBUG")
    secret = north.keys["OFFICE"].split("_", 2)[2]

    answers = [
        callers.call(north, "GET", "/api/v1/machines"),
        callers.call(north, "GET", "/api/v1/nowhere"),
        callers.call(north, "POST", "/api/v1/owners", raw=b"{"),
    ]

    assert all(secret not in answer.content.decode() for answer in answers)
    assert secret not in caplog.text
