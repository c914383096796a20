"""What no API offers: the first registration, passwords and tokens of the people."""

import secrets
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from fleet.demo.places import DemoPlaces, read_json, write_json
from fleet.models import Contractor, Job, Membership, Token
from fleet.platform.access import tokens
from fleet.platform.choices import Role, TokenScope
from fleet.platform.queue import tasks
from fleet.register import registry

DEVICE = "demo"
TOKEN_LIFETIME = timedelta(days=30)
PASSWORD_BYTES = 9

SCOPES: Mapping[str, tuple[str, ...]] = {
    Role.OFFICE: (TokenScope.READ, TokenScope.WRITE),
    Role.TECHNICIAN: (TokenScope.READ, TokenScope.UPLOAD),
    Role.OWNER_READER: (TokenScope.READ,),
}


def find(*, code: str) -> Contractor | None:
    """Return the contractor of the demo if it is registered already."""
    return Contractor.objects.filter(code=code).first()


def register(*, portfolio: Mapping[str, Any]) -> Contractor:
    """Register the portfolio; its first night is the coming one."""
    contractor = registry.register(portfolio=portfolio)
    Contractor.objects.filter(pk=contractor.pk).update(
        nightly_due_at=tasks.next_night(after=timezone.now(), zone=contractor.time_zone)
    )
    return contractor


def let_in(*, contractor: Contractor, places: DemoPlaces) -> list[dict[str, str]]:
    """Give everyone a password once and a new token, and return who they are.

    They are kept in the demo's folder, readable by its owner only.
    """
    known = read_json(places.logins).get("people", {})
    people = []
    memberships = contractor.memberships.select_related("person")
    for membership in memberships.order_by("pk"):
        name = membership.person.username
        password = known.get(name, {}).get("password", "")
        if not password or not membership.person.password:
            password = secrets.token_urlsafe(PASSWORD_BYTES)
            membership.person.set_password(password)
            membership.person.save(update_fields=["password"])
        people.append(
            {
                "username": name,
                "name": membership.person.get_full_name(),
                "role": membership.role,
                "password": password,
                "token": _token(membership, now=timezone.now()),
            }
        )
    write_json(places.logins, {"people": {p["username"]: p for p in people}})
    return people


def release_jobs(*, contractor: Contractor) -> int:
    """Give back the jobs of a worker that was killed; return how many wait now.

    To be called while no worker runs: the demo has one worker only.
    """
    jobs = Job.objects.filter(contractor_id=contractor.pk)
    jobs.filter(state="RUNNING").update(lease_until=timezone.now())
    return jobs.filter(state__in=("QUEUED", "RUNNING")).count()


def _token(membership: Membership, *, now: datetime) -> str:
    # A key is shown once, so every run has its own; the earlier one ends.
    Token.objects.filter(membership=membership, device=DEVICE, revoked_at=None).update(
        revoked_at=now
    )
    return tokens.issue(
        membership=membership,
        device=DEVICE,
        scopes=SCOPES[membership.role],
        issued_at=now,
        lifetime=TOKEN_LIFETIME,
    )
