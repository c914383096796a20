"""People in browsers: logged in by password, with second factors and without."""

import base64
from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.test import Client
from django.utils import timezone
from django_otp.oath import TOTP

from fleet.models import Membership, Person
from fleet.platform.access import sessions
from tests import factories

PASSWORD = "four plain words here"
PATH = "/api/v1/second-factor"


def log_in(person: Person, *, agent: str = "") -> Client:
    """Return a browser in which a person has typed the right password."""
    # Always alike: another one would end the person's other sessions.
    hashed = make_password(PASSWORD, salt="alike" * 5, hasher="md5")
    Person.objects.filter(pk=person.pk).update(password=hashed)
    browser = Client(raise_request_exception=False, headers={"User-Agent": agent})
    factories.forget_tenant()
    answer = browser.post(
        "/log-in", {"username": person.username, "password": PASSWORD}
    )
    assert answer.status_code == 302, answer.content
    return browser


def confirmed(person: Person) -> Client:
    """Return a browser of someone who has just logged in, without the page for it."""
    browser = Client(raise_request_exception=False)
    browser.force_login(person)
    session = browser.session
    session[sessions.PASSWORD] = timezone.now().timestamp()
    session.save()
    return browser


def get(browser: Client, path: str):
    factories.forget_tenant()
    return browser.get(path)


def post(browser: Client, path: str, body=None, **headers: str):
    factories.forget_tenant()
    return browser.post(
        path, body or {}, content_type="application/json", headers=headers
    )


def code(secret: str, *, at: datetime | None = None) -> str:
    """Return the code that an app with this secret shows."""
    shown = TOTP(base64.b32decode(secret), step=30, digits=6)
    shown.time = (at or timezone.now()).timestamp()
    return f"{shown.token():06d}"


def set_up_codes(browser: Client) -> tuple[str, list[str]]:
    """Add one-time codes; return their secret and the recovery codes that came."""
    begun = post(browser, f"{PATH}/codes", {"name": "telephone"})
    assert begun.status_code == 201, begun.content
    secret, pk = begun.json()["secret"], begun.json()["id"]
    confirmed = post(browser, f"{PATH}/codes/{pk}/confirm", {"code": code(secret)})
    assert confirmed.status_code == 200, confirmed.content
    return secret, confirmed.json()["recovery_codes"]


def require(cast: factories.Cast) -> Person:
    """Have the contractor want a second factor of its office; return who is there."""
    cast.contractor.office_needs_second_factor = True
    cast.contractor.save()
    return Membership.objects.get(pk=cast.memberships["OFFICE"].pk).person
