"""Passkeys (WebAuthn, level 2) by the `webauthn` package: made, and shown.

Each ceremony answers a challenge that the session keeps, once and for five minutes.
No attestation is asked for: which maker's key it is does not matter here.
"""

import json
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

import webauthn
from django.conf import settings
from django.http import HttpRequest
from webauthn.helpers import exceptions, structs

from fleet.platform.models import Person, SecondFactor
from fleet.platform.models.second_factor import FactorKind

RELYING_PARTY = "Ropeseat"
GOOD_FOR = timedelta(minutes=5)
_CHALLENGE = "passkey_challenge"
TO_ADD, TO_SHOW = "add", "show"


class NotVerified(Exception):
    """The answer does not fit the challenge, this server, or the stored key."""


def options_to_add(
    request: HttpRequest, *, person: Person, at: datetime
) -> dict[str, Any]:
    """Return what a browser needs to make a passkey, and keep the challenge."""
    options = webauthn.generate_registration_options(
        rp_id=_host(request),
        rp_name=RELYING_PARTY,
        user_id=f"person-{person.pk}".encode(),
        user_name=person.get_username(),
        exclude_credentials=_known(person),
    )
    _keep(request, options.challenge, use=TO_ADD, at=at)
    return dict(json.loads(webauthn.options_to_json(options)))


def options_to_show(
    request: HttpRequest, *, person: Person, at: datetime
) -> dict[str, Any]:
    """Return what a browser needs to show a passkey, and keep the challenge."""
    options = webauthn.generate_authentication_options(
        rp_id=_host(request), allow_credentials=_known(person)
    )
    _keep(request, options.challenge, use=TO_SHOW, at=at)
    return dict(json.loads(webauthn.options_to_json(options)))


def add(
    request: HttpRequest,
    *,
    person: Person,
    name: str,
    credential: Mapping[str, Any],
    at: datetime,
) -> SecondFactor:
    """Store the passkey that a browser has made. Raises NotVerified."""
    challenge = _taken(request, use=TO_ADD, at=at)
    try:
        made = webauthn.verify_registration_response(
            credential=dict(credential),
            expected_challenge=challenge,
            expected_rp_id=_host(request),
            expected_origin=_origin(request),
        )
    except _REFUSALS as problem:
        raise NotVerified from problem
    if SecondFactor.objects.filter(credential=made.credential_id).exists():
        raise NotVerified
    return SecondFactor.objects.create(
        person=person,
        kind=FactorKind.PASSKEY,
        name=name,
        confirmed_at=at,
        credential=made.credential_id,
        public_key=made.credential_public_key,
        sign_count=made.sign_count,
    )


def show(
    request: HttpRequest,
    *,
    person: Person,
    credential: Mapping[str, Any],
    at: datetime,
) -> None:
    """Take a passkey's answer to the session's challenge. Raises NotVerified."""
    challenge = _taken(request, use=TO_SHOW, at=at)
    try:
        raw = webauthn.base64url_to_bytes(str(credential.get("rawId", "")))
        row = (
            SecondFactor.objects.select_for_update()
            .filter(person=person, kind=FactorKind.PASSKEY, credential=raw)
            .first()
        )
        if row is None:
            raise NotVerified
        shown = webauthn.verify_authentication_response(
            credential=dict(credential),
            expected_challenge=challenge,
            expected_rp_id=_host(request),
            expected_origin=_origin(request),
            credential_public_key=bytes(row.public_key or b""),
            credential_current_sign_count=row.sign_count,
        )
    except _REFUSALS as problem:
        raise NotVerified from problem
    row.sign_count, row.last_used_at = shown.new_sign_count, at
    row.save(update_fields=["sign_count", "last_used_at"])


# What the package raises for answers that are malformed in ways that it did not expect.
_REFUSALS = (
    exceptions.WebAuthnException,
    ValueError,
    TypeError,
    KeyError,
    AttributeError,
)


def _known(person: Person) -> list[structs.PublicKeyCredentialDescriptor]:
    rows = SecondFactor.objects.filter(person=person, kind=FactorKind.PASSKEY)
    return [
        structs.PublicKeyCredentialDescriptor(id=bytes(row.credential or b""))
        for row in rows
    ]


def _keep(request: HttpRequest, challenge: bytes, *, use: str, at: datetime) -> None:
    request.session[_CHALLENGE] = [use, challenge.hex(), at.timestamp()]


def _taken(request: HttpRequest, *, use: str, at: datetime) -> bytes:
    """Return the session's challenge and forget it. Raises NotVerified."""
    wanted, challenge, kept_at = request.session.pop(_CHALLENGE, ("", "", 0))
    age_s = at.timestamp() - kept_at
    if wanted != use or not 0 <= age_s <= GOOD_FOR.total_seconds():
        raise NotVerified
    return bytes.fromhex(challenge)


def _origin(request: HttpRequest) -> str:
    if settings.PUBLIC_URL:
        parts = urlsplit(settings.PUBLIC_URL)
        return f"{parts.scheme}://{parts.netloc}"
    return f"{request.scheme}://{request.get_host()}"


def _host(request: HttpRequest) -> str:
    return urlsplit(_origin(request)).hostname or ""
