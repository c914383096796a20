"""The second factor: asked for everywhere, shown once, never gone around."""

import json
import logging
import re
from datetime import timedelta

import pytest
import time_machine
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from fleet.models import Change, Contractor, Membership, Person, SecondFactor, Token
from fleet.platform.access import tokens
from fleet.platform.api.gate import OPEN_NAMES
from tests import authenticator, browsers, callers, factories
from tests.access.doors import doors
from tests.browsers import PATH, get, log_in, post

pytestmark = pytest.mark.django_db

MISSING, NOT_SET_UP = "second-factor-required", "second-factor-not-set-up"


@pytest.fixture
def clock():
    with time_machine.travel(timezone.now(), tick=False) as moved:
        yield moved


@pytest.fixture
def office(north):
    return browsers.require(north)


def enrolled(person):
    """Return the secret and the recovery codes of someone who has set codes up."""
    return browsers.set_up_codes(log_in(person))


def later(clock):
    """Let the code of the last half minute pass."""
    clock.shift(timedelta(seconds=61))


# --- nothing without it ---------------------------------------------------------------
def scope_doors():
    """Return every method and address of the API that needs to know who is calling."""
    free = ("api/v1/schema", "api/v1/cautions", "api/v1/report-links")
    free += ("api/v1/calendars/", "api/v1/second-factor", "api/v1/confirm-password")
    # A phone is paired by its code, whoever holds it.
    free += ("api/v1/field/pairing",)
    for method, path in doors():
        if path.startswith("api/") and not path.startswith(free):
            yield method, "/" + re.sub("<[^>]+>", "1", path)


@pytest.mark.parametrize("has_one", [False, pytest.param(True, marks=pytest.mark.long)])
def test_no_route_answers_a_session_without_it(office, clock, has_one):
    if has_one:
        enrolled(office)
    browser = log_in(office)
    wanted = MISSING if has_one else NOT_SET_UP
    asked = list(scope_doors())

    for method, path in asked:
        factories.forget_tenant()
        answer = browser.generic(method, path)
        assert callers.is_problem(answer, 403, wanted), (method, path)

    assert len(asked) > 150


def test_no_page_of_the_office_answers_either(office):
    browser = log_in(office)

    for path in ("/admin/", "/admin/fleet/machine/", "/account", "/account/password"):
        assert get(browser, path)["Location"].startswith("/account/second-factor?next=")


def test_what_is_open_without_it_has_a_name_and_is_there():
    from django.urls import get_resolver

    names = {name for name in get_resolver().reverse_dict if isinstance(name, str)}

    assert names >= OPEN_NAMES


def test_row_level_security_is_not_opened_either(office):
    get(log_in(office), "/api/v1/machines")

    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('ropeseat.contractor', true)")
        assert cursor.fetchone()[0] in (None, "")


def test_once_shown_everything_is_as_before(office, clock):
    secret, _ = enrolled(office)
    later(clock)
    browser = log_in(office)

    answer = post(browser, f"{PATH}/verify", {"code": browsers.code(secret)})

    assert answer.status_code == 204
    assert get(browser, "/api/v1/machines").status_code == 200
    assert get(browser, "/admin/").status_code == 200


def test_whoever_sets_one_up_of_their_own_accord_is_asked_too(north, clock):
    technician = north.memberships["TECHNICIAN"].person
    enrolled(technician)

    answer = get(log_in(technician), "/api/v1/machines")

    assert callers.is_problem(answer, 403, MISSING)


def test_it_is_off_until_the_contractor_asks_for_it(north):
    browser = log_in(north.memberships["OFFICE"].person)

    assert get(browser, "/api/v1/machines").status_code == 200


def test_the_superuser_is_asked_whatever_a_contractor_says(settings):
    root = Person.objects.create_superuser("root")

    assert get(log_in(root), "/admin/")["Location"].startswith("/account/second-factor")

    settings.SUPERUSER_SECOND_FACTOR = False
    assert get(log_in(root), "/admin/").status_code == 200


# --- keys do not go around it ---------------------------------------------------------
def test_no_key_is_issued_to_a_session_without_it(office):
    browser = log_in(office)

    answer = post(browser, "/api/v1/tokens", {"device": "x", "scopes": ["READ"]})

    assert callers.is_problem(answer, 403, NOT_SET_UP)
    assert not Token.objects.filter(device="x").exists()


def test_a_key_of_the_office_issued_without_it_is_refused(north, office):
    answer = callers.call(north, "GET", "/api/v1/machines")

    assert callers.is_problem(answer, 403, MISSING)
    for act in ("rotate", "revoke"):
        token = Token.objects.get(membership=north.memberships["OFFICE"])
        refused = callers.call(north, "POST", f"/api/v1/tokens/{token.pk}/{act}")
        assert callers.is_problem(refused, 403, MISSING)


def test_a_key_issued_behind_it_works_and_hands_it_on(north, office, clock):
    browser = log_in(office)
    browsers.set_up_codes(browser)
    asked = {"device": "x", "scopes": ["READ", "WRITE"]}

    key = post(browser, "/api/v1/tokens", asked).json()["key"]

    named = {"Authorization": f"Bearer {key}"}
    client = callers.Client()
    factories.forget_tenant()
    assert client.get("/api/v1/machines", headers=named).status_code == 200
    made = client.post(
        "/api/v1/tokens",
        json.dumps(asked | {"device": "y"}),
        content_type="application/json",
        headers=named,
    )
    rotated = client.post(
        f"/api/v1/tokens/{Token.objects.get(device='y').pk}/rotate", headers=named
    )
    assert (made.status_code, rotated.status_code) == (201, 201)
    assert set(
        Token.objects.filter(device__in="xy").values_list("with_factor", flat=True)
    ) == {True}


def test_keys_of_technicians_go_on(north, office):
    answer = callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")

    assert answer.status_code == 200


def test_a_technician_made_one_of_the_office_needs_another_key(north, office):
    membership = north.memberships["TECHNICIAN"]
    Membership.objects.filter(pk=membership.pk).update(role="OFFICE")

    answer = callers.call(north, "GET", "/api/v1/machines", role="TECHNICIAN")

    assert callers.is_problem(answer, 403, MISSING)


def test_the_servers_own_command_issues_keys_that_work(north, office, capsys):
    words = ("--contractor", "north", "--device", "x", "--scopes", "READ")
    call_command("issue_token", office.username, *words)
    key = capsys.readouterr().out.strip()

    named = {"Authorization": f"Bearer {key}"}
    factories.forget_tenant()
    assert callers.Client().get("/api/v1/machines", headers=named).status_code == 200


@pytest.mark.parametrize("path", ["", "/verify", "/challenge", "/codes", "/passkeys"])
def test_a_key_neither_shows_nor_changes_a_factor(north, path):
    method = "POST" if path else "GET"

    answer = callers.call(north, method, PATH + path, {} if path else None)

    assert callers.is_problem(answer, 403, "permission-denied")


# --- codes ----------------------------------------------------------------------------
def test_a_code_is_taken_once(office, clock):
    secret, _ = enrolled(office)
    later(clock)
    shown = browsers.code(secret)
    first, second = log_in(office), log_in(office)

    assert post(first, f"{PATH}/verify", {"code": shown}).status_code == 204
    again = post(second, f"{PATH}/verify", {"code": shown})

    assert callers.is_problem(again, 403, "second-factor-wrong")
    assert callers.is_problem(get(second, "/api/v1/machines"), 403, MISSING)


def test_a_factor_whose_key_was_given_up_too_early_is_refused_and_logged(
    office, clock, settings, caplog
):
    secret, spare = enrolled(office)
    later(clock)
    # The operator has dropped the earlier key before the secrets were sealed anew.
    settings.SECRET_KEY, settings.SECRET_KEY_FALLBACKS = "another key", []
    client = log_in(office)

    code = post(client, f"{PATH}/verify", {"code": browsers.code(secret)})
    recovery = post(client, f"{PATH}/verify", {"code": spare[0]})

    assert callers.is_problem(code, 403, "second-factor-wrong")
    assert "not among SECRET_KEY_FALLBACKS" in caplog.text
    assert recovery.status_code == 204


def test_the_code_that_confirmed_is_not_taken_again(office, clock):
    secret, _ = enrolled(office)

    answer = post(log_in(office), f"{PATH}/verify", {"code": browsers.code(secret)})

    assert callers.is_problem(answer, 403, "second-factor-wrong")


def test_an_older_code_is_not_taken_after_a_later_one(office, clock):
    secret, _ = enrolled(office)
    later(clock)
    older = browsers.code(secret)
    clock.shift(timedelta(seconds=30))
    post(log_in(office), f"{PATH}/verify", {"code": browsers.code(secret)})

    answer = post(log_in(office), f"{PATH}/verify", {"code": older})

    assert callers.is_problem(answer, 403, "second-factor-wrong")


@pytest.mark.parametrize("off_s", [-90, -30, 30, 90])
def test_a_code_lives_for_its_own_half_minute(office, clock, settings, off_s):
    settings.ONE_TIME_CODE_STEPS = 0
    secret, _ = enrolled(office)
    clock.shift(timedelta(minutes=10))
    at = timezone.now() + timedelta(seconds=off_s)

    answer = post(
        log_in(office), f"{PATH}/verify", {"code": browsers.code(secret, at=at)}
    )

    assert callers.is_problem(answer, 403, "second-factor-wrong")


@pytest.mark.parametrize("off_s", [-30, 30])
def test_clocks_may_be_half_a_minute_off_where_the_server_says_so(
    office, clock, settings, off_s
):
    settings.ONE_TIME_CODE_STEPS = 1
    secret, _ = enrolled(office)
    clock.shift(timedelta(minutes=10))
    at = timezone.now() + timedelta(seconds=off_s)

    answer = post(
        log_in(office), f"{PATH}/verify", {"code": browsers.code(secret, at=at)}
    )

    assert answer.status_code == 204


def test_wrong_codes_are_counted_and_then_even_the_right_one_waits(
    office, clock, settings
):
    settings.SECOND_FACTOR_TRIES = 3
    secret, _ = enrolled(office)
    later(clock)
    browser = log_in(office)
    for _ in range(3):
        wrong = post(browser, f"{PATH}/verify", {"code": "000000"})
        assert callers.is_problem(wrong, 403, "second-factor-wrong")

    answer = post(log_in(office), f"{PATH}/verify", {"code": browsers.code(secret)})

    assert callers.is_problem(answer, 429, "too-many-requests")
    assert 0 < int(answer["Retry-After"]) <= 900


def test_a_day_has_a_limit_of_its_own(office, clock, settings):
    settings.SECOND_FACTOR_TRIES = 2
    enrolled(office)
    answers = []
    for _ in range(7):
        clock.shift(timedelta(minutes=16))
        browser = log_in(office)
        answers += [
            post(browser, f"{PATH}/verify", {"code": "000000"}).status_code
            for _ in range(2)
        ]

    assert answers == [403] * 12 + [429] * 2


def test_a_recovery_code_is_good_once_and_told(office, clock, caplog):
    _, spare = enrolled(office)
    first, second = log_in(office), log_in(office)

    with caplog.at_level(logging.INFO, logger="ropeseat.security"):
        taken = post(first, f"{PATH}/verify", {"code": spare[0].upper()})
    again = post(second, f"{PATH}/verify", {"code": spare[0]})

    assert taken.status_code == 204
    assert callers.is_problem(again, 403, "second-factor-wrong")
    assert get(first, PATH).json()["recovery_codes_left"] == len(spare) - 1
    [line] = [
        r for r in caplog.records if getattr(r, "event", "") == "second-factor-shown"
    ]
    assert (line.levelname, line.details["by"]) == ("WARNING", "RECOVERY")


def test_who_takes_a_recovery_code_holds_all_of_them_until_it_is_gone(office, clock):
    _, spare = enrolled(office)
    browser = log_in(office)

    with CaptureQueriesContext(connection) as asked:
        taken = post(browser, f"{PATH}/verify", {"code": spare[0]})

    assert taken.status_code == 204
    # Eight sessions that send one code at once wait here for each other.
    of_codes = [q["sql"] for q in asked if "'RECOVERY'" in q["sql"]]
    assert any(sql.endswith("FOR UPDATE") for sql in of_codes), of_codes


def test_a_secret_that_was_not_confirmed_counts_for_nothing(north, clock):
    person = north.memberships["OFFICE"].person
    browser = log_in(person)
    post(browser, f"{PATH}/codes", {"name": "x"})

    assert get(browser, PATH).json()["factors"] == []
    assert get(log_in(person), "/api/v1/machines").status_code == 200


# --- passkeys -------------------------------------------------------------------------
def add_passkey(browser, device):
    options = post(browser, f"{PATH}/passkey-options").json()["public_key"]
    made = {"name": "key ring", "credential": device.make(options)}
    return post(browser, f"{PATH}/passkeys", made), made


def challenge(browser):
    return post(browser, f"{PATH}/challenge").json()["public_key"]


def test_a_passkey_is_made_and_shown(office):
    device = authenticator.Authenticator()
    added, _ = add_passkey(log_in(office), device)
    browser = log_in(office)

    shown = device.show(challenge(browser))
    answer = post(browser, f"{PATH}/verify", {"credential": shown})

    assert (added.status_code, len(added.json()["recovery_codes"])) == (201, 10)
    assert answer.status_code == 204
    assert get(browser, "/api/v1/machines").status_code == 200


def test_an_answer_to_another_challenge_is_wrong(office):
    device = authenticator.Authenticator()
    add_passkey(log_in(office), device)
    first, second = log_in(office), log_in(office)
    shown = device.show(challenge(first))
    challenge(second)

    stolen = post(second, f"{PATH}/verify", {"credential": shown})
    own = post(first, f"{PATH}/verify", {"credential": shown})
    again = post(first, f"{PATH}/verify", {"credential": shown})

    assert callers.is_problem(stolen, 403, "second-factor-wrong")
    assert own.status_code == 204
    assert callers.is_problem(again, 403, "second-factor-wrong")


def test_a_passkey_of_another_site_or_person_is_wrong(office, south):
    device = authenticator.Authenticator(origin="https://elsewhere.example")
    elsewhere, _ = add_passkey(log_in(office), device)
    other = authenticator.Authenticator()
    add_passkey(log_in(south.memberships["OFFICE"].person), other)
    own = authenticator.Authenticator()
    add_passkey(log_in(office), own)
    browser = log_in(office)

    answer = post(
        browser, f"{PATH}/verify", {"credential": other.show(challenge(browser))}
    )

    assert callers.is_problem(elsewhere, 403, "second-factor-wrong")
    assert callers.is_problem(answer, 403, "second-factor-wrong")


def test_a_copied_passkey_is_seen_by_its_count(office):
    device = authenticator.Authenticator()
    add_passkey(log_in(office), device)
    for _ in range(2):
        browser = log_in(office)
        shown = device.show(challenge(browser))
        assert post(browser, f"{PATH}/verify", {"credential": shown}).status_code == 204
    device.signed = 0
    browser = log_in(office)

    answer = post(
        browser, f"{PATH}/verify", {"credential": device.show(challenge(browser))}
    )

    assert callers.is_problem(answer, 403, "second-factor-wrong")


@pytest.mark.parametrize(
    "body",
    [
        {"credential": {}},
        {"credential": {"rawId": 7, "id": [], "type": {}, "response": None}},
        {"credential": {"rawId": "!!", "response": {"clientDataJSON": "x"}}},
    ],
)
def test_a_malformed_answer_is_wrong_and_no_fault_of_the_server(office, body):
    browser = log_in(office)
    challenge(browser)
    shown = post(browser, f"{PATH}/verify", body)
    post(browser, f"{PATH}/passkey-options")
    made = post(browser, f"{PATH}/passkeys", body | {"name": "x"})

    assert callers.is_problem(shown, 403, "second-factor-wrong")
    assert callers.is_problem(made, 403, "second-factor-wrong")


# --- set up, removed, reset -----------------------------------------------------------
def test_a_session_that_has_not_shown_one_adds_none(office, clock):
    enrolled(office)
    browser = log_in(office)

    for path in ("/codes", "/passkey-options", "/recovery-codes"):
        answer = post(browser, PATH + path, {"name": "x"} if path == "/codes" else None)
        assert callers.is_problem(answer, 403, MISSING), path


def test_an_old_session_confirms_before_it_adds_one(north, clock):
    person = north.memberships["OFFICE"].person
    browser = log_in(person)
    clock.shift(timedelta(minutes=20))

    refused = post(browser, f"{PATH}/codes", {"name": "x"})
    wrong = post(browser, "/api/v1/confirm-password", {"password": "no"})
    right = post(browser, "/api/v1/confirm-password", {"password": browsers.PASSWORD})

    assert callers.is_problem(refused, 403, "confirm-again")
    assert callers.is_problem(wrong, 403, "password-wrong")
    assert right.status_code == 204
    assert post(browser, f"{PATH}/codes", {"name": "x"}).status_code == 201


def test_the_last_one_stays_where_it_is_required(north, office, clock):
    browser = log_in(office)
    browsers.set_up_codes(browser)
    [row] = get(browser, PATH).json()["factors"]

    kept = post(browser, f"{PATH}/{row['id']}/remove")
    Contractor.objects.filter(pk=north.contractor.pk).update(
        office_needs_second_factor=False
    )
    gone = post(browser, f"{PATH}/{row['id']}/remove")

    assert callers.is_problem(kept, 409, "last-factor")
    assert gone.status_code == 204
    assert not SecondFactor.objects.filter(person=office).exists()


def test_one_that_is_added_or_removed_ends_the_persons_other_sessions(north, clock):
    person = north.memberships["TECHNICIAN"].person
    elsewhere, browser = log_in(person), log_in(person)
    secret, _ = browsers.set_up_codes(browser)

    assert get(browser, "/api/v1/machines").status_code == 200
    assert callers.is_problem(
        get(elsewhere, "/api/v1/machines"), 401, "not-authenticated"
    )

    later(clock)
    elsewhere = log_in(person)
    post(elsewhere, f"{PATH}/verify", {"code": browsers.code(secret)})
    assert get(elsewhere, "/api/v1/machines").status_code == 200
    row = SecondFactor.objects.get(person=person, kind="TOTP")
    assert post(browser, f"{PATH}/{row.pk}/remove").status_code == 204

    assert get(browser, "/api/v1/machines").status_code == 200
    assert get(elsewhere, "/api/v1/machines").status_code == 401


def test_nobody_removes_or_confirms_anothers(office, south, clock):
    enrolled(office)
    theirs = SecondFactor.objects.usable().get(person=office)
    other = log_in(south.memberships["OFFICE"].person)

    removed = post(other, f"{PATH}/{theirs.pk}/remove")
    confirmed = post(other, f"{PATH}/codes/{theirs.pk}/confirm", {"code": "000000"})

    assert callers.is_problem(removed, 404, "not-found")
    assert callers.is_problem(confirmed, 404, "not-found")


def test_the_servers_keeper_resets_it_and_sessions_end(office, clock):
    secret, _ = enrolled(office)
    later(clock)
    browser = log_in(office)
    post(browser, f"{PATH}/verify", {"code": browsers.code(secret)})

    call_command("reset_second_factor", office.username)

    assert get(browser, "/api/v1/machines").status_code == 401
    answer = get(log_in(office), "/api/v1/machines")
    assert callers.is_problem(answer, 403, NOT_SET_UP)
    with pytest.raises(CommandError, match="Nobody"):
        call_command("reset_second_factor", "nobody")


# --- the contractor's setting ---------------------------------------------------------
def ask_for_it(browser):
    factories.forget_tenant()
    return browser.patch(
        "/api/v1/contractor",
        json.dumps({"office_needs_second_factor": True}),
        content_type="application/json",
        headers={"If-Match": "*"},
    )


def test_whoever_asks_others_for_it_has_shown_one(north, clock):
    browser = log_in(north.memberships["OFFICE"].person)

    first = ask_for_it(browser)
    browsers.set_up_codes(browser)
    then = ask_for_it(browser)

    assert callers.is_problem(first, 409, "own-factor-first")
    assert then.json()["office_needs_second_factor"] is True
    assert then["ETag"] == get(browser, "/api/v1/contractor")["ETag"]
    by_key = callers.call(north, "GET", "/api/v1/machines")
    assert callers.is_problem(by_key, 403, MISSING)


@pytest.mark.parametrize("role", ["TECHNICIAN", "OWNER_READER"])
def test_where_everybody_is_asked_nobody_goes_on_without_it(north, clock, role):
    keeper = log_in(north.memberships["OFFICE"].person)
    body = json.dumps({"everybody_needs_second_factor": True})

    def ask():
        factories.forget_tenant()
        return keeper.patch(
            "/api/v1/contractor",
            body,
            content_type="application/json",
            headers={"If-Match": "*"},
        )

    assert callers.is_problem(ask(), 409, "own-factor-first")
    browsers.set_up_codes(keeper)
    assert ask().json()["everybody_needs_second_factor"] is True

    by_key = callers.call(north, "GET", "/api/v1/machines", role=role)
    browser = log_in(north.memberships[role].person)
    before = get(browser, "/api/v1/machines")
    browsers.set_up_codes(browser)

    assert callers.is_problem(by_key, 403, MISSING)
    assert callers.is_problem(before, 403, NOT_SET_UP)
    assert get(browser, "/api/v1/machines").status_code == 200


# --- what is written down -------------------------------------------------------------
def test_no_secret_is_in_the_audit_the_tables_or_the_files(north, office, clock):
    browser = log_in(office)
    secret, spare = browsers.set_up_codes(browser)
    device = authenticator.Authenticator()
    add_passkey(browser, device)

    callers.confine(north)
    lines = Change.objects.filter(table="fleet_secondfactor")
    written = json.dumps(list(lines.values("fields")))
    rows = str(list(SecondFactor.objects.values()))
    files = get(browser, "/api/v1/exports/everything.jsonl.zip")

    assert lines.count() == 4
    assert {line.person_id for line in lines} == {office.pk}
    assert files.status_code == 200
    for text in (written, rows):
        assert secret not in text
        assert not any(code in text for code in spare)
    assert device.credential.hex() not in written
    from fleet.register.exchange import everything

    assert not [name for name in everything.outgoing() if "factor" in name]


def test_tokens_know_nothing_of_the_time_a_session_has(north, clock):
    clock.shift(timedelta(hours=20))

    assert callers.call(north, "GET", "/api/v1/machines").status_code == 200
    assert timedelta(hours=20) < tokens.LIFETIME
