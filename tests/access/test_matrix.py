"""Each line of the matrix, tried: every door x every role x each kind of row."""

from dataclasses import replace

import pytest
from django.test import Client
from django.utils import timezone

from reports.delivery import links
from reports.models import Delivery, Report
from tests import callers, factories
from tests.access import matrix, people
from tests.access.doors import ANY, doors
from tests.access.matrix import MATRIX, NO, SECRET

pytestmark = pytest.mark.django_db

ROLES = ("OFFICE", "TECHNICIAN", "OWNER_READER")
OTHER_ACTS = ("PUT", "PATCH", "DELETE")
# The same walk for the others takes as long again and is left to the long run.
FIRST_ROLE = (
    ROLES[0],
    *(pytest.param(role, marks=pytest.mark.long) for role in ROLES[1:]),
)
API = {at: door for at, door in MATRIX.items() if at[0] != ANY}
PAGES = {at: door for at, door in MATRIX.items() if at[0] == ANY}
OPEN = {at for at, door in MATRIX.items() if door.anyone != NO}


def one_of_each(doors):
    """Return the first door of each method and cells; what is sent makes no kind."""
    kinds = {}
    for (method, path), door in doors.items():
        kind = method, replace(door, body=None, content_type="")
        kinds.setdefault(kind, ((method, path), door))
    return dict(kinds.values())


# Where the caller is tried and not the row, one door of each kind is tried every time,
# and every door in the long run.
ONE_OF_EACH = one_of_each(API)


def tried_as(role, doors, *, whole):
    """Return each door that is shut to a role, and of those open to it one of a kind.

    That each page and each row of its own opens is tried with the office every time; of
    the other roles what they must not get comes first.
    """
    if whole or role == "OFFICE":
        return doors
    opened = {at: door for at, door in doors.items() if is_open(door, role)}
    some = one_of_each(opened)
    return {at: door for at, door in doors.items() if at in some or at not in opened}


def is_open(door, role):
    return door.cell(role) not in (NO, SECRET) and role not in door.not_by_key


EVERY = pytest.param(True, marks=pytest.mark.long, id="every door")
WALK = pytest.mark.parametrize("whole", [pytest.param(False, id="of each kind"), EVERY])


def api(whole):
    return API if whole else ONE_OF_EACH


@pytest.fixture(autouse=True)
def _quiet(settings, tmp_path):
    settings.SUPERUSER_SECOND_FACTOR = False
    settings.REQUESTS_PER_MINUTE = settings.TOKEN_GUESSES_PER_MINUTE = 0
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def world(world):
    return people.with_files(world)


def test_every_door_has_a_line_and_every_line_a_door():
    assert set(doors()) - set(MATRIX) == set(), "say in matrix.py who gets what there"
    assert set(MATRIX) - set(doors()) == set()


def is_list(method, path, door):
    return method == "GET" and door.model is not None and "<pk>" not in path


def check_taken(answer, where):
    """A door that is open: whatever is wrong with the request, it is not the caller."""
    refused = (401, 403, 405)
    assert answer.status_code not in refused, (where, answer.whole[:300])
    assert answer.status_code < 500, (where, answer.whole[:300])


def is_no_secret(answer):
    """Nothing there, or a code that is none."""
    return answer.status_code == 404 or callers.is_problem(
        answer, 400, "code-not-valid"
    )


@pytest.mark.parametrize("rows", [1, pytest.param(2, marks=pytest.mark.long)])
@pytest.mark.parametrize("role", ROLES)
def test_each_door_of_the_api_gives_each_role_its_own_rows_and_no_other(
    world, role, rows
):
    cast, caller = world.north, people.by_key(world.north.keys[role])
    tried = tried_as(role, API, whole=rows > 1)
    for (method, path), door in API.items():
        where = (method, path, role)
        if door.cell(role) == NO or role in door.not_by_key:
            answer = caller.ask(method, path, door)
            assert callers.is_problem(answer, 403, "permission-denied"), where
        elif is_list(method, path, door):
            check_list(world, cast, caller, role, path, door)
        elif door.model is not None:
            with_own = (method, path) in tried
            check_rows(
                *(world, cast, caller, role, method, path, door),
                most=rows,
                with_own=with_own,
            )
        elif door.cell(role) == SECRET:
            assert is_no_secret(caller.ask(method, path, door)), where
        elif (method, path) in tried:
            check_taken(caller.ask(method, path, door), where)


def check_list(world, cast, caller, role, path, door):
    answer = caller.ask("GET", f"{path}?page_size=200", door)
    assert answer.status_code == 200, (path, role, answer.whole[:300])
    seen = {row["id"] for row in answer.json()["results"]}
    assert seen == people.visible(world, cast, door, role), (path, role)
    assert seen or door.cell(role) == matrix.NONE, f"{path}: empty, proves nothing"


def check_rows(world, cast, caller, role, method, path, door, *, most, with_own):
    """Own rows are there; one of another's is as absent as one that is nowhere."""
    where = (method, path, role)
    own = people.visible(world, cast, door, role)
    beyond = world.visible(door.model, cast, "OFFICE") - own
    foreign = world.visible(door.model, world.south, "OFFICE")
    assert own or door.cell(role) == matrix.NONE, where
    missing = caller.ask(method, path, door, pk=people.ABSENT)

    assert callers.is_problem(missing, 404, "not-found"), where
    for pk in sorted(own)[: most * with_own]:
        answer = caller.ask(method, path, door, pk=pk)
        check_taken(answer, (*where, pk))
        assert answer.status_code != 404 or answer.whole != missing.whole, where
    for pk in [*sorted(foreign)[:1], *sorted(beyond)[:most]]:
        answer = caller.ask(method, path, door, pk=pk)
        assert (answer.status_code, answer.whole) == (404, missing.whole), where


@WALK
@pytest.mark.parametrize("role", FIRST_ROLE)
def test_a_session_opens_what_a_key_opens(world, role, whole):
    caller = people.logged_in(world.north.memberships[role].person)
    for (method, path), door in api(whole).items():
        own = people.visible(world, world.north, door, role) if door.model else {1}
        pk = min(own, default=people.ABSENT)
        answer = caller.ask(method, path, door, pk=pk)

        if door.cell(role) == NO:
            assert callers.is_problem(answer, 403, "permission-denied"), (method, path)
        elif own and door.cell(role) != SECRET:
            check_taken(answer, (method, path, role))


@WALK
def test_competence_opens_no_door(world, whole):
    # It is asked for where a stop ends, by the act itself.
    people.make_competent(world.north)
    caller = people.by_key(world.north.keys["TECHNICIAN"])
    for (method, path), door in api(whole).items():
        answer = caller.ask(method, path, door, pk=people.ABSENT)

        is_refused = answer.status_code == 403
        shut = door.technician == NO or "TECHNICIAN" in door.not_by_key
        assert is_refused == shut, (method, path)


@WALK
def test_a_key_that_only_uploads_reads_nothing_but_who_it_is(world, whole):
    caller = people.only_uploading(world.north)
    for (method, path), door in api(whole).items():
        answer = caller.ask(method, path, door, pk=people.ABSENT)

        if method == "GET" and (method, path) not in OPEN:
            is_me = path == "api/v1/me"
            assert (answer.status_code == 200) == is_me, path
            assert is_me or callers.is_problem(answer, 403, "permission-denied")


@pytest.mark.parametrize(
    ("who", "whole"),
    [
        ("nobody", True),
        ("keeper", False),
        pytest.param("keeper", True, marks=pytest.mark.long),
    ],
)
def test_whoever_works_for_no_contractor_gets_nothing_of_one(world, who, whole):
    caller = getattr(people, who)()
    for (method, path), door in api(whole).items():
        pk = min(world.visible(door.model, world.north, "OFFICE")) if door.model else 1
        answer = caller.ask(method, path, door, pk=pk)

        if (method, path) in OPEN:
            secret = door.anyone == SECRET
            assert is_no_secret(answer) if secret else answer.status_code == 200, path
        elif who == "nobody":
            assert callers.is_problem(answer, 401, "not-authenticated"), (method, path)
        elif door.keeper == NO:
            assert callers.is_problem(answer, 403, "permission-denied"), (method, path)
        else:
            assert door.personal, (method, path)


@pytest.mark.parametrize(
    "method", ["POST", *(pytest.param(m, marks=pytest.mark.long) for m in OTHER_ACTS)]
)
def test_what_no_line_names_is_not_taken_from_the_office_either(world, method):
    caller = people.by_key(world.north.keys["OFFICE"])
    for path in {path for _, path in API}:
        check_not_taken(caller, method, path)


def test_no_other_act_is_taken_at_a_door_of_each_kind(world):
    caller = people.by_key(world.north.keys["OFFICE"])
    for method in OTHER_ACTS:
        for _, path in ONE_OF_EACH:
            check_not_taken(caller, method, path)


def check_not_taken(caller, method, path):
    if (method, path) in API:
        return
    answer = caller.ask(method, path, matrix.OFFICE)

    if API.get(("GET", path), matrix.OFFICE).anyone == NO:
        assert answer.status_code in (403, 405), (method, path)
    else:
        assert answer.status_code in (404, 405), (method, path)


# --- paired phones --------------------------------------------------------------------
@WALK
@pytest.mark.parametrize(
    "role", ["TECHNICIAN", pytest.param("OFFICE", marks=pytest.mark.long)]
)
def test_a_phones_cookie_opens_the_fields_doors_and_no_other(world, role, whole):
    caller = people.by_phone(world.north, role)
    opened = set()
    tried = MATRIX if whole else FIELD | one_of_each(MATRIX)
    for (method, path), door in tried.items():
        own = world.visible(door.model, world.north, role) if door.model else {1}
        pk = pk_of(path, own, world) if method == ANY else min(own, default=1)
        answer = caller.ask(method, path, door, pk=pk)

        if door.phone == matrix.YES:
            assert answer.status_code not in (401, 403), (method, path)
            assert answer.status_code < 500, (method, path)
            opened.add((method, path))
        elif door.anyone == SECRET:
            assert is_shut(answer) or is_refusal(answer, SECRET) or is_no_secret(answer)
        elif method == ANY:
            assert is_shut(answer), path
        else:
            assert callers.is_problem(answer, 401, "not-authenticated"), (method, path)
    assert ("POST", "api/v1/uploads") in opened


FIELD = {at: door for at, door in API.items() if door.phone != NO and at not in OPEN}


FOREIGN = (
    ({"Origin": "https://thief.example"}, 403, "foreign-origin"),
    ({"Origin": "null"}, 403, "foreign-origin"),
    ({"Sec-Fetch-Site": "cross-site"}, 403, "foreign-origin"),
    ({"Sec-Fetch-Site": "same-site"}, 403, "foreign-origin"),
    ({"Ropeseat-Phone": "1000000"}, 409, "another-phone"),
    ({"Ropeseat-Phone": None}, 401, "not-authenticated"),
)


@WALK
def test_a_cookie_that_another_page_sends_and_a_bare_key_open_nothing(world, whole):
    phone = people.by_phone(world.north)
    for changed, status, code in FOREIGN:
        headers = {k: v for k, v in (phone.headers | changed).items() if v}
        caller = replace(phone, headers=headers)
        for (method, path), door in FIELD.items():
            answer = caller.ask(method, path, door, pk=1)
            assert callers.is_problem(answer, status, code), (path, changed)
    caller = people.by_key(phone.browser.cookies["ropeseat_field"].value)
    for (method, path), door in api(whole).items():
        if (method, path) not in OPEN:
            answer = caller.ask(method, path, door, pk=1)
            assert answer.status_code == 401, (method, path)


# --- drafts, and what is retired ------------------------------------------------------
DRAWN = [(m, p) for (m, p), door in API.items() if door.model is Report and "<pk>" in p]


@pytest.mark.parametrize("role", ROLES[1:])
def test_a_draft_is_nobodys_but_the_offices_at_every_door(world, role):
    drafts = people.with_drafts(world.north)
    caller = people.by_key(world.north.keys[role])
    office = people.by_key(world.north.keys["OFFICE"])
    seen_by_office = 0
    for method, path in DRAWN:
        door = MATRIX[method, path]
        missing = caller.ask(method, path, door, pk=people.ABSENT)
        for draft in drafts:
            answer = caller.ask(method, path, door, pk=draft.pk)
            assert answer.status_code in (403, 404), (path, draft.state)
            assert answer.whole == missing.whole, (path, draft.state)
            own = office.ask(method, path, door, pk=draft.pk)
            seen_by_office += path.endswith("/file") and own.status_code == 200
    assert seen_by_office == 1, "only of one that waits is there a file to look at"


@pytest.mark.parametrize("role", ROLES[1:])
def test_a_draft_is_in_no_list_and_no_file_of_others(world, role):
    numbers = [draft.number for draft in people.with_drafts(world.north)]
    caller = people.by_key(world.north.keys[role])
    for path in (
        "api/v1/reports?page_size=200",
        "api/v1/exports/reports.csv",
        "api/v1/exports/reports.jsonl",
    ):
        whole = content_of(caller.ask("GET", path, matrix.MEMBERS))
        assert b"R-MH-1" in whole
        for secret in (b"1234.50", *(number.encode() for number in numbers)):
            assert secret not in whole, path
    office = people.by_key(world.north.keys["OFFICE"])
    path = "api/v1/exports/reports.jsonl"
    assert b"1234.50" in content_of(office.ask("GET", path, matrix.MEMBERS))


def content_of(answer):
    assert answer.status_code == 200, answer.whole[:300]
    return answer.whole


@pytest.mark.parametrize("role", ROLES)
def test_what_is_retired_is_shown_to_those_who_saw_it_and_to_no_other(world, role):
    old = people.with_history(world.north)
    theirs = people.with_history(world.south)
    caller = people.by_key(world.north.keys[role])
    of_machine = [
        (method, path)
        for (method, path), door in API.items()
        if path.startswith("api/v1/machines/<pk>")
    ]
    for method, path in of_machine:
        door = MATRIX[method, path]
        foreign = caller.ask(method, path, door, pk=theirs.pk)
        missing = caller.ask(method, path, door, pk=people.ABSENT)
        assert (foreign.status_code, foreign.whole) == (
            missing.status_code,
            missing.whole,
        ), path
        answer = caller.ask(method, path, door, pk=old.pk)
        assert (answer.status_code == 403) == (door.cell(role) == NO), path
        assert answer.status_code < 500, path
    row = caller.ask("GET", "api/v1/machines/<pk>", matrix.MEMBERS, pk=old.pk).json()
    assert row["retired_on"] == "2026-02-01"


# --- those who have lost everything ---------------------------------------------------
@WALK
@pytest.mark.parametrize("role", FIRST_ROLE)
def test_a_person_who_left_gets_nothing_anywhere(world, role, whole):
    check_lost(world, role, lambda: people.let_go(world.north, role), whole=whole)


@WALK
def test_a_retired_owners_reader_gets_nothing_anywhere(world, whole):
    check_lost(
        world, "OWNER_READER", lambda: people.retire_owner(world.north), whole=whole
    )


def check_lost(world, role, lose, *, whole):
    by_key = people.by_key(world.north.keys[role])
    by_session = people.logged_in(world.north.memberships[role].person)
    for caller in (by_key, by_session):
        me = caller.ask("GET", "api/v1/me", matrix.MEMBERS)
        assert me.status_code == 200

    lose()

    for (method, path), door in (MATRIX if whole else one_of_each(MATRIX)).items():
        if (method, path) in OPEN:
            continue
        pk = min(world.visible(door.model, world.north, "OFFICE")) if door.model else 1
        if method != ANY:
            answer = by_key.ask(method, path, door, pk=pk)
            shut = (401, 403) if door.personal else (401,)
            assert answer.status_code in shut, (method, path)
        answer = by_session.ask(method, path, door, pk=pk)
        if door.personal:
            # Of one whose owner is gone only the own account is left.
            assert b"mill" not in answer.whole.lower(), path
        else:
            assert is_shut(answer), (method, path, answer.status_code)


def is_shut(answer):
    """Refused, absent, or sent to log in."""
    led = answer.get("Location", "")
    return answer.status_code in (401, 403, 404) or led.startswith(
        ("/log-in", "/admin/")
    )


# --- pages ----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("role", "whole"),
    [
        *((role, True) for role in ("OFFICE", "NOBODY")),
        *((role, False) for role in (*ROLES[1:], "KEEPER")),
        *(
            pytest.param(role, True, marks=pytest.mark.long)
            for role in (*ROLES[1:], "KEEPER")
        ),
    ],
)
def test_each_page_opens_to_those_whom_the_matrix_names(world, role, whole):
    if role == "KEEPER":
        caller = people.keeper()
    elif role == "NOBODY":
        caller = people.nobody()
    else:
        caller = people.logged_in(world.north.memberships[role].person)
    if role in ROLES:
        tried = tried_as(role, PAGES, whole=whole)
    else:
        tried = PAGES if whole else one_of_each(PAGES)
    for (method, path), door in tried.items():
        cell = {"KEEPER": door.keeper, "NOBODY": door.anyone}.get(role)
        cell = cell or door.cell(role)
        whose = role if cell == matrix.SELF else "OFFICE"
        own = world.visible(door.model, world.north, whose) if door.model else {1}
        answer = caller.ask(method, path, door, pk=pk_of(path, own, world))

        if role != "NOBODY" and not path.startswith(("field/", "health/")):
            assert "no-store" in answer.get("Cache-Control", ""), path
        if cell in (NO, SECRET):
            assert is_shut(answer) or is_refusal(answer, cell), (path, role)
        else:
            # 422 where the page says what it cannot work out of this machine.
            assert answer.status_code in (200, 302, 405, 409, 422), (path, role)
            is_there = answer.status_code in (200, 405, 409, 422)
            assert cell == matrix.YES or is_there or moved(answer), (path, role)


def pk_of(path, own, world):
    rows = {
        "fleet/contractor": world.north.contractor,
        "fleet/person": world.north.memberships["OFFICE"].person,
        "fleet/token": world.north.memberships["OFFICE"].tokens.first(),
    }
    for name, row in rows.items():
        if f"admin/{name}/" in path:
            return row.pk
    return min(own)


def is_refusal(answer, cell):
    # A link to set a password says on its page that it is none.
    return cell == SECRET and b"password" in answer.whole


def moved(answer):
    return answer.status_code == 302 and answer["Location"].startswith("/admin/")


@pytest.mark.parametrize("kind", ["foreign", "absent"])
def test_a_page_of_anothers_row_is_as_absent_as_one_that_is_nowhere(world, kind):
    office, reader = (
        people.logged_in(world.north.memberships[role].person)
        for role in ("OFFICE", "OWNER_READER")
    )
    for (method, path), door in PAGES.items():
        if door.model is None or path.endswith("<pk>/"):
            continue
        # What the office may not do at all, an owner's reader tries.
        caller = office if door.office != NO else reader
        pk = people.ABSENT
        if kind == "foreign":
            pk = min(world.visible(door.model, world.south, "OFFICE"))

        answer = caller.ask(method, path, door, pk=pk)

        if path.startswith("admin/"):
            assert (answer.status_code, answer["Location"]) == (302, "/admin/"), path
        else:
            # What is only posted to is not looked for when it is asked for.
            assert answer.status_code in (404, 405), path


# --- links and feeds ------------------------------------------------------------------
def test_a_link_out_of_a_mail_opens_no_draft(world):
    drafts = people.with_drafts(world.north)
    delivery = Delivery.objects.get(report__number="R-MH-1")
    link = links.make_link(delivery=delivery, now=timezone.now())
    delivery.save()
    path = "api/v1/report-links"
    code = {"code": link.partition("#")[2]}
    sent = replace(matrix.OPEN, body=code)
    answer = people.nobody().ask("POST", path, sent)
    assert (answer.status_code, answer.whole) == (200, b"a file")
    page = Client().post("/report-links", code)
    assert (page.status_code, page.getvalue()) == (200, b"a file")

    for draft in drafts:
        callers.confine(world.north)
        Delivery.objects.filter(pk=delivery.pk).update(report=draft)
        answer = people.nobody().ask("POST", path, sent)
        assert callers.is_problem(answer, 400, "link-over"), draft.state
        factories.forget_tenant()
        assert Client().post("/report-links", code).status_code == 410
