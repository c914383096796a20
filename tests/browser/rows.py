"""Rows that only a page or two show: planned work, a proposal, what was sent."""

from datetime import date, timedelta

from django.utils import timezone

from fleet.models import Job, Machine, Membership, Pulley, Token
from fleet.platform.access.factors import codes
from fleet.platform.choices import JobState
from fleet.register import people
from fleet.register.exchange import dialect, export_jobs, import_jobs
from fleet.register.exchange.import_jobs import Given
from fleet.register.people.inviting import Invitee
from inspections import handover, options, photos
from inspections.models import BulkRelease, PlannedWork, Reading, Stop
from inspections.planning import feeds
from inspections.scenarios import keeping
from reports import plans
from reports.delivery import links
from reports.models import Delivery, ReportPlan
from tests import callers, estates, factories
from tests.browsers import PASSWORD
from tests.inspections.api.test_photos import picture
from tests.reports import orders

# Of the office like Ada Kowalska, with a second factor besides.
COLLEAGUE = "COLLEAGUE"
FILE = b"building,code,name,drive_kind\nmill-house,L-1,Lift 1,GEARED\n"
FAULTY = FILE + b"nowhere,L-2,Lift 2,STEAM\n"


def more(
    cast: factories.Cast, *, worn: Machine, stopped: Machine
) -> dict[str, int | str]:
    """Put one of each there; return their ids by what the house calls them."""
    return {
        **_people(cast),
        **_works(cast, worn, stopped),
        **_releases(cast, worn, stopped),
        **_reports(cast, worn),
        **_files(cast),
        **_service(cast, stopped),
        **_scenario(cast, worn),
    }


def _scenario(cast: factories.Cast, worn: Machine) -> dict[str, int | str]:
    kept = keeping.keep(
        scope=cast.scope(),
        machine_id=worn.pk,
        name="a lighter car",
        changes={"car_mass_kg": 1100.0},
        shared_with_owner=True,
        now=timezone.now(),
    )
    return {"scenario": kept.pk}


def _people(cast: factories.Cast) -> dict[str, int | str]:
    colleague, left = (
        _invited(cast, first_name=first, last_name=last)
        for first, last in (("Lena", "Brandt"), ("Paul", "Weir"))
    )
    people.deactivate(scope=cast.scope(), membership=left, at=timezone.now())
    cast.memberships[COLLEAGUE] = colleague
    key = Token.objects.within(cast.scope()).latest("pk")
    return {"colleague": colleague.pk, "left": left.pk, "key": key.pk}


def _service(cast: factories.Cast, stopped: Machine) -> dict[str, int | str]:
    """Offer a machine to another house, and leave a piece of work that failed."""
    offered = handover.offer(
        scope=cast.scope(),
        machine_id=stopped.pk,
        house="South Lifts",
        word_by="Mill Trust, the secretary",
        word_on=date(2026, 5, 1),
        words="letter of 1 May, kept with the contract",
    )
    Job.objects.create(
        kind="inspections.tasks.assess",
        contractor_id=cast.contractor.pk,
        subject_id=stopped.pk,
        key="failed",
        due_at=timezone.now(),
        state=JobState.FAILED,
        problem="OperationalError",
        finished_at=timezone.now(),
    )
    return {"hand_over": offered.pk, **_given_out(cast, stopped)}


def _given_out(cast: factories.Cast, stopped: Machine) -> dict[str, int | str]:
    """Leave a file that waits, an address of a calendar, a photo and a pulley."""
    scope = cast.scope()
    asked, _ = export_jobs.ask(scope=scope, name="machines.csv", now=timezone.now())
    feeds.issue(scope=scope, name="Mill Trust", owner_id=None)
    photos.keep(
        scope=scope,
        visit_id=Reading.objects.filter(machine__code="MH-1").latest("pk").visit_id,
        content=picture(kind="PNG"),
        caption="groove 3, mark A",
    )
    pulley = Pulley.objects.create(
        contractor=cast.contractor,
        machine=stopped,
        number=1,
        kind="DEFLECTOR",
        diameter_mm=400.0,
        fitted_on=date(2020, 1, 15),
    )
    return {"export": asked.pk, "pulley": pulley.pk}


def _invited(cast: factories.Cast, **named: str) -> Membership:
    now = timezone.now()
    email = f"{named['first_name'].lower()}@lifts.example"
    found, _ = people.invite(
        contractor_id=cast.contractor.pk,
        invitation=Invitee(email=email, role="OFFICE", **named),
        at=now,
        by_mail=False,
    )
    found.joined_at = now
    found.save(update_fields=["joined_at"])
    found.person.set_password(PASSWORD)
    found.person.save()
    return found


def give_factor(cast: factories.Cast) -> None:
    """Let the colleague show codes from now on."""
    row, _ = codes.begin(
        person=cast.memberships[COLLEAGUE].person, name="work telephone"
    )
    row.confirmed_at = timezone.now()
    row.save()


def _works(
    cast: factories.Cast, worn: Machine, stopped: Machine
) -> dict[str, int | str]:
    """Plan what leaves the worn machine's proposed work a proposal."""
    today = timezone.localdate()
    found: dict[str, int | str] = {}
    for name, machine, kind in (
        ("work", worn, "LUBRICATE"),
        ("cut", stopped, "REGROOVE_IN_SHOP"),
        ("tensions", stopped, "EQUALISE"),
    ):
        row = PlannedWork.objects.create(
            contractor=cast.contractor,
            machine=machine,
            kind=kind,
            chosen_by=cast.memberships["OFFICE"].pk,
            chosen_at=timezone.now(),
            due_before_on=today + timedelta(days=60),
            order_by_on=today + timedelta(days=20),
        )
        found[name] = row.pk
    done = PlannedWork.objects.create(
        contractor=cast.contractor,
        machine=worn,
        kind="REGROOVE_IN_PLACE",
        state="DONE",
        chosen_at=timezone.now() - timedelta(days=90),
        done_on=today - timedelta(days=30),
        spent={"hours": "31.50", "shop": "900.00", "currency": "EUR"},
    )
    found["done"] = done.pk
    machines = [worn.pk, stopped.pk]
    options.due.refresh(scope=cast.scope(), machine_ids=machines)
    return found


def _releases(
    cast: factories.Cast, worn: Machine, stopped: Machine
) -> dict[str, int | str]:
    reading = Reading.objects.filter(machine=worn, groove__isnull=False).latest("pk")
    estates.stop(cast, worn, reading=reading, upload=reading.upload)
    released = Stop.objects.filter(machine=worn).latest("pk")
    bulk = BulkRelease.objects.create(
        contractor=cast.contractor,
        withdrawn_kind="VERSION",
        withdrawn="4",
        why="a limit was mistyped",
        proposed_by=cast.memberships[COLLEAGUE].pk,
        proposed_at=timezone.now(),
        stops=list(Stop.objects.filter(machine=stopped).values_list("pk", flat=True)),
    )
    return {"released": released.pk, "bulk": bulk.pk}


def _reports(cast: factories.Cast, worn: Machine) -> dict[str, int | str]:
    place = {"owner": worn.building.owner, "building": worn.building}
    plan = ReportPlan(contractor=cast.contractor, **place)
    plans.keep(plan, now=timezone.now())
    before = {"period_start": date(2025, 10, 1), "period_end": date(2026, 1, 1)}
    sent = orders.made(cast, recipients=("bert@mill.example",), **before)
    callers.confine(cast)
    delivery = Delivery.objects.get(report=sent)
    # Made a year ago, so that it is over.
    links.make_link(delivery=delivery, now=timezone.now() - timedelta(days=365))
    delivery.save()
    link = f"/report-links/{orders.signed_by_an_earlier_version(delivery)}"
    return {"plan": plan.pk, "sent": sent.pk, "link": link}


def _files(cast: factories.Cast) -> dict[str, int | str]:
    """Leave one file to wait; one was looked at, and its faults were found."""
    found: dict[str, int | str] = {}
    for name, content in (
        ("looked_at", FILE),
        ("faulty_file", FAULTY),
        ("waiting_file", FILE + b"\n"),
    ):
        given = Given(
            name="machines",
            content=content,
            dialect=dialect.declared(),
            dry_run=True,
        )
        row, _ = import_jobs.ask(scope=cast.scope(), given=given, now=timezone.now())
        if name != "waiting_file":
            import_jobs.bring_in(import_jobs.job_of(row))
        found[name] = row.pk
    return found
