"""What docs/asvs.md claims where no other test looked: tried, not only written."""

import base64
import hashlib
import math
import re
import string
from pathlib import Path

import pytest
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from django.contrib.sessions.backends.db import SessionStore
from django.test import Client
from django.utils import timezone

from fleet.models import Token
from fleet.platform import sealing
from fleet.platform.access import pairing
from fleet.platform.access.factors import recovery
from tests import factories

ROOT = Path(__file__).parents[1]
OPERATIONS = (ROOT / "docs" / "operations.md").read_text(encoding="utf-8")
ASVS = (ROOT / "docs" / "asvs.md").read_text(encoding="utf-8")
SETTINGS = (ROOT / "fleet" / "project" / "settings.py").read_text(encoding="utf-8")
# `NAME = env.env_int("NAME", default=60, ...)` of the settings.
NUMBER = re.compile(r'env\.env_int\(\s*"([A-Z_]+)",\s*default=([0-9_]+)')
# `security_log.tell("log-in", ...)`, or by a `_tell` beside it.
EVENT = re.compile(r'\b_?tell\(\s*"([a-z]+(?:-[a-z]+)+)"')


def sources():
    for room in ("fleet", "inspections", "reports"):
        yield from (ROOT / room).rglob("*.py")


def row(section):
    return next(line for line in ASVS.splitlines() if line.startswith(f"| {section} "))


# --- V2, V5, V6, V7, V13: limits are documented as they are ---------------------------
NUMBERS = NUMBER.findall(SETTINGS)


def test_the_settings_numbers_are_found():
    assert len(NUMBERS) > 15
    assert {"SESSION_IDLE_MINUTES", "LOGIN_TRIES", "UPLOAD_MAX_BYTES"} <= {
        name for name, _ in NUMBERS
    }


@pytest.mark.parametrize(("name", "default"), NUMBERS)
def test_operations_tells_the_default_of_each_number(name, default):
    rows = [line.split("|") for line in OPERATIONS.splitlines() if f"`{name}`" in line]
    told = [cells for cells in rows if len(cells) > 3 and f"`{name}`" in cells[1]]

    [cells] = told
    names = re.findall(r"`([A-Z_]+)`", cells[1])
    defaults = [each.strip() for each in cells[2].split(",")]
    place = names.index(name) if len(defaults) == len(names) else -1
    assert str(int(default)) in (defaults[place], *defaults[: len(names)])


# --- V16: events are documented -------------------------------------------------------
def test_each_event_of_security_stands_in_operations():
    told = {
        name for path in sources() for name in EVENT.findall(path.read_text("utf-8"))
    }
    table = OPERATIONS[OPERATIONS.index("| event | what happened |") :]
    table = table[: table.index("\n\n")]
    named: set[str] = set()
    for line in table.splitlines()[2:]:
        found = re.findall(r"`(-?[a-z]+(?:-[a-z]+)*)`", line.split("|")[1])
        # `second-factor-shown`, `-wrong`: the later ones go on from the first.
        whole = found[0].rpartition("-")[0]
        named |= {whole + each if each.startswith("-") else each for each in found}

    assert len(told) > 20
    assert told - named == set()


# --- V11: what is hashed, sealed and drawn by lot -------------------------------------
def test_passwords_are_hashed_by_djangos_own_count():
    # OWASP's Password Storage Cheat Sheet asks for 600,000; from memory.
    assert "PASSWORD_HASHERS" not in SETTINGS
    assert PBKDF2PasswordHasher.iterations >= 600_000
    assert PBKDF2PasswordHasher.algorithm == "pbkdf2_sha256"


@pytest.mark.django_db
def test_a_key_is_kept_as_its_sha_256_alone():
    cast = factories.cast()
    _, prefix, secret = cast.keys["OFFICE"].split("_", 2)

    kept = Token.objects.get(prefix=prefix)

    assert kept.digest == hashlib.sha256(secret.encode()).hexdigest()
    values = Token.objects.filter(pk=kept.pk).values().get().values()
    assert not any(secret in str(value) for value in values)


def test_what_is_sealed_is_fernet():
    # The format's version byte: https://github.com/fernet/spec, "Version".
    sealed = sealing.seal("JBSWY3DPEHPK3PXP").rpartition(":")[2]

    assert base64.urlsafe_b64decode(sealed)[0] == 0x80


def bits(text, alphabet):
    assert set(text) <= set(alphabet), text
    return len(text) * math.log2(len(alphabet))


@pytest.mark.django_db
def test_what_must_not_be_guessed_has_128_bits_but_the_code_that_pairs_a_phone():
    cast = factories.cast()
    member = cast.memberships["OFFICE"]
    now = timezone.now()
    base64s = string.ascii_letters + string.digits + "-_"
    [code, *_] = recovery.renew(person=member.person, at=now)
    session = SessionStore()
    session.create()

    assert bits(cast.keys["OFFICE"].split("_", 2)[2], base64s) >= 128
    # 26 letters of five bits; the last has three.
    spare = code.replace("-", "")
    assert bits(spare, string.ascii_lowercase + "234567") - 2 >= 128
    assert bits(session.session_key, string.ascii_lowercase + string.digits) >= 128
    shown = pairing.show_code(
        membership=member, made_by=member.pk, with_factor=False, at=now
    ).code
    paired = bits(shown.replace("-", ""), string.ascii_uppercase + string.digits)
    assert paired < 128
    assert "| not met: 11.5.1 |" in row("11.5")


# --- V3, V13: what a stranger is given ------------------------------------------------
@pytest.mark.django_db
@pytest.mark.parametrize(
    "path",
    [
        "/.git/config",
        "/manage.py",
        "/static/",
        "/static/../manage.py",
        "/static/%2e%2e/manage.py",
        "/media/",
        "/__debug__/",
        "/docker-compose.yml",
    ],
)
def test_nothing_of_the_server_itself_is_served(path):
    answer = Client(raise_request_exception=False).get(path)

    assert answer.status_code == 404
    assert "DJANGO_SETTINGS_MODULE" not in answer.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/log-in", "/api/v1/machines", "/nowhere"])
def test_each_answer_keeps_a_browser_from_guessing_framing_and_telling_on(path):
    answer = Client().get(path, headers={"Origin": "https://elsewhere.example"})

    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Referrer-Policy"] == "same-origin"
    assert "frame-ancestors 'none'" in answer["Content-Security-Policy"]
    assert "charset" in answer["Content-Type"] or "json" in answer["Content-Type"]
    assert not [n for n in answer.headers if n.startswith("Access-Control")]


@pytest.mark.django_db
def test_a_wrong_name_and_a_wrong_password_are_told_alike():
    cast = factories.cast()
    known = cast.memberships["OFFICE"].person.username

    def told(name):
        form = {"username": name, "password": "not this one"}
        answer = Client().post("/log-in", form)
        return answer.status_code, answer.content.decode().replace(name, "")

    def plain(answer):
        return re.sub(r'name="csrfmiddlewaretoken" value="[^"]+"', "", answer[1])

    assert told(known)[0] == told("nobody-of-here")[0] == 200
    assert plain(told(known)) == plain(told("nobody-of-here"))
