"""A house as its people find it: a worn machine, a stopped one, a draft."""

from dataclasses import dataclass, field
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from fleet.models import Person
from inspections import assessment, forecasts, options
from inspections.models import DueWork, Finding, Gauge, Reading, Stop
from tests import callers, factories
from tests.browser import rows
from tests.browsers import PASSWORD, confirmed
from tests.reports import orders

# Clearance left under the ropes of MH-1, by visits a year apart, the last of today.
CLEARANCES_MM = (3.4, 2.9, 2.3, 1.8, 1.2, 0.8)
NAMES = {"OFFICE": "Ada Kowalska", "TECHNICIAN": "Tom Reed", "OWNER_READER": "Mia Sol"}


@dataclass(frozen=True, kw_only=True)
class House:
    """Who is there, what stands there, and where the server answers."""

    cast: factories.Cast
    address: str
    worn: int
    stopped: int
    stop: int
    building: int
    proposed: str
    finding: int
    traction: int
    reading: int
    gauge: int
    visit: int
    upload: int
    held: int
    draft: int
    overtaken: int
    owner: int
    colleague: int
    left: int
    key: int
    work: int
    cut: int
    tensions: int
    done: int
    bulk: int
    released: int
    plan: int
    sent: int
    looked_at: int
    faulty_file: int
    waiting_file: int
    link: str
    hand_over: int
    scenario: int
    export: int
    pulley: int
    cookies: dict[str, str] = field(default_factory=dict)


def build(*, address: str) -> House:
    """Fill the database, for real, with everything that a page can show."""
    with transaction.atomic():
        cast = factories.cast(code="north")
        _name(cast)
        # Of before its machine was stopped.
        overtaken = orders.made(cast, needs_release=True, building="quay-court")
        _read(cast)
        judge(cast)
        report = orders.made(
            cast, needs_release=True, recipients=("anna@mill.example",)
        )
        callers.confine(cast)
        worn, stopped = (
            factories.machine(cast.scope(), code) for code in ("MH-1", "QC-1")
        )
        return House(
            cast=cast,
            address=address,
            worn=worn.pk,
            stopped=stopped.pk,
            building=worn.building_id,
            proposed=DueWork.objects.get(machine=worn).kind,
            stop=Stop.objects.get(machine=stopped, released_at=None).pk,
            finding=Finding.objects.get(
                machine=worn, topic="bottom clearance", place="groove 1", current=True
            ).pk,
            traction=Finding.objects.filter(
                machine=worn, topic="traction", current=True
            )[0].pk,
            reading=Reading.objects.filter(machine=worn).latest("pk").pk,
            gauge=_gauge(cast),
            visit=Reading.objects.filter(machine=worn).latest("pk").visit_id,
            upload=Reading.objects.filter(machine=worn).latest("pk").upload_id,
            held=Reading.objects.get(reference="too-thick").pk,
            draft=report.pk,
            overtaken=overtaken.pk,
            owner=worn.building.owner_id,
            **rows.more(cast, worn=worn, stopped=stopped),
            cookies=_cookies(cast),
        )


def _gauge(cast: factories.Cast) -> int:
    """Register a gauge that is past its calibration."""
    row = Gauge.objects.create(
        contractor=cast.contractor,
        code="g-1",
        name="plate calliper",
        resolution_mm=0.02,
        calibration_due_on=timezone.localdate() - timedelta(days=1),
    )
    return int(row.pk)


def _name(cast: factories.Cast) -> None:
    for role, membership in cast.memberships.items():
        first, last = NAMES[role].split()
        person: Person = membership.person
        person.first_name, person.last_name = first, last
        person.email = f"{first.lower()}@lifts.example"
        person.set_password(PASSWORD)
        person.save()


def _read(cast: factories.Cast) -> None:
    now = timezone.now()
    for years_ago, clearance_mm in enumerate(reversed(CLEARANCES_MM)):
        at = now - timedelta(days=365 * years_ago, hours=3)
        _send(
            cast,
            *(
                {"reference": f"{years_ago}-{kind}-{n}", "kind": kind, where: n}
                | {"value": f"{value:.2f}", "unit": "mm"}
                for n in range(1, 6)
                for kind, where, value in (
                    ("bottom_clearance", "groove", clearance_mm),
                    ("rope_diameter", "rope", 12.9),
                )
            ),
            reference=f"v-{years_ago}",
            visited_at=at.isoformat(),
        )
    thick = {"reference": "too-thick", "value": "14.5", "unit": "mm"}
    _send(cast, thick, reference="v-thick", visited_at=_ago(hours=2))
    crack = {"reference": "crack", "kind": "check", "rope": None, "value": "defect"}
    _send(
        cast,
        crack | {"place": {"part": "crack"}},
        reference="v-crack",
        machine="QC-1",
        visited_at=_ago(hours=1),
    )


def _send(cast: factories.Cast, *readings: dict, **visit: object) -> None:
    answer = callers.upload(cast, factories.upload(*readings, **visit))
    assert answer.status_code == 207, answer.content
    assert {each["outcome"] for each in answer.json()["readings"]} <= {"stored", "held"}


def judge(cast: factories.Cast) -> None:
    """Judge the machines, forecast and work out options, as a worker does."""
    callers.confine(cast)
    machines = [factories.machine(cast.scope(), code).pk for code in ("MH-1", "QC-1")]
    how = {"scope": cast.scope(), "machine_ids": machines, "as_of": timezone.now()}
    assessment.assess(**how)
    forecasts.project(**how)
    options.recompute(**how)


def _ago(**ago: float) -> str:
    return (timezone.now() - timedelta(**ago)).isoformat()


def _cookies(cast: factories.Cast) -> dict[str, str]:
    """Return by role the cookie of someone who has just logged in by password."""
    rows.give_factor(cast)
    return {
        role: str(confirmed(member.person).cookies["sessionid"].value)
        for role, member in cast.memberships.items()
    }
