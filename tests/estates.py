"""Two contractors with twin estates, every table filled, and who may see which row."""

import uuid
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from fleet.models import (
    Building,
    ExportFile,
    ImportFile,
    Job,
    Machine,
    Membership,
    Owner,
    Pulley,
    SentForm,
    Token,
    Work,
)
from inspections.models import (
    Assessment,
    BulkRelease,
    CalendarFeed,
    DueWork,
    Finding,
    Forecast,
    ForecastRun,
    ForecastScore,
    Gauge,
    Grade,
    HandedRow,
    HandOver,
    HandOverDirection,
    HandOverState,
    Hyperparameters,
    OptionSet,
    OwnerAnswer,
    PlannedStep,
    PlannedWork,
    PlanningRule,
    Reading,
    ReadingReview,
    Scenario,
    Stop,
    StopEvent,
    Terms,
    TrackPoint,
    Upload,
    UrgentMail,
    Visit,
    VisitMove,
    VisitPhoto,
    WearLimit,
    WearTrack,
)
from reports.models import Delivery, RefusedAddress, Report, ReportPlan
from tests import callers, factories
from tests.inspections.scenarios import tried

AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
# How a row leads to its owner, said here anew: the application's own words for it
# are what is tested.
PATH_TO_OWNER = {
    "Owner": "pk",
    "Building": "owner",
    "Report": "owner",
    "Machine": "building__owner",
    "SheaveGeometry": "sheave__machine__building__owner",
    "Groove": "sheave__machine__building__owner",
    "Rope": "rope_set__machine__building__owner",
    "RopeInGroove": "rope__rope_set__machine__building__owner",
    "StopEvent": "stop__machine__building__owner",
    "PlannedStep": "planned_work__machine__building__owner",
}
BY_MACHINE = "machine__building__owner"


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """North and south, with the same estate each."""

    north: factories.Cast
    south: factories.Cast

    def visible(self, model: Any, cast: factories.Cast, role: str) -> set[int]:
        """Return the ids that a role should see, by the tables themselves."""
        callers.confine(cast)
        if model is Job:
            return ids(Job.objects.filter(contractor_id=cast.contractor.pk))
        if model in (Membership, Token, ExportFile):
            return self._people(model, cast, role)
        rows = model.objects.filter(contractor=cast.contractor)
        if role == "OWNER_READER":
            path = PATH_TO_OWNER.get(model.__name__, BY_MACHINE)
            owner = Owner.objects.get(code="mill", contractor=cast.contractor)
            rows = rows.filter(**{path: owner.pk})
        return ids(rows)

    def _people(self, model: Any, cast: factories.Cast, role: str) -> set[int]:
        to_person = {Membership: "pk"}.get(model, "membership_id")
        own = cast.memberships if role == "OFFICE" else {role: cast.memberships[role]}
        among = {f"{to_person}__in": [each.pk for each in own.values()]}
        return ids(model.objects.filter(**among))


def ids(rows: Any) -> set[int]:
    return set(rows.values_list("pk", flat=True))


def world() -> World:
    """Register both contractors and put a row into every table."""
    found = World(
        north=factories.cast(code="north"), south=factories.cast(code="south")
    )
    for cast in (found.north, found.south):
        callers.confine(cast)
        for code in ("MH-1", "QC-1"):
            fill(cast, factories.machine(cast.scope(), code))
        take_out(cast)
    return found


def take_out(cast: factories.Cast) -> None:
    """Have a file made for each of a contractor's people, and a form sent by each."""
    for role, membership in cast.memberships.items():
        SentForm.objects.create(
            contractor=cast.contractor,
            reference=uuid.uuid4(),
            membership_id=membership.pk,
            address="/machines/new",
            typed={"code": ["MH-9"]},
        )
        ImportFile.objects.create(
            contractor=cast.contractor,
            name="machines",
            dialect={},
            dry_run=True,
            sha256="0" * 64,
            membership_id=membership.pk,
            status=200,
            answer={"resource": "machines"},
            finished_at=AT,
        )
        ExportFile.objects.create(
            contractor=cast.contractor,
            name="machines.csv",
            membership_id=membership.pk,
            role=role,
            owner_id=membership.owner_id,
            stored_as="exports/none.csv",
            size_bytes=6,
            sha256="0" * 64,
            finished_at=AT,
            expires_at=datetime(2099, 1, 1, tzinfo=UTC),
        )


def fill(cast: factories.Cast, machine: Machine, *, mark: str = "") -> None:
    """Give a machine one row in every table below it."""
    own = {"contractor": cast.contractor}
    named = f"{machine.code}{mark}"
    by = cast.memberships["TECHNICIAN"].pk
    Pulley.objects.create(
        **own,
        machine=machine,
        number=1,
        kind="DEFLECTOR",
        diameter_mm=500,
        fitted_on=date(2020, 1, 15),
    )
    Work.objects.create(
        **own, machine=machine, kind="LUBRICATION", done_on=date(2025, 1, 1)
    )
    Gauge.objects.create(**own, code=f"g-{named}", name="plate calliper")
    upload = Upload.objects.create(**own, membership_id=by, fingerprint="0" * 64)
    UrgentMail.objects.create(
        **own,
        upload=upload,
        membership_id=cast.memberships["OFFICE"].pk,
        address="office@lifts.example",
        message_id=f"<urgent-{named}@lifts.example>",
        next_try_at=AT,
    )
    visit = Visit.objects.create(
        **own, machine=machine, reference=f"v-{named}", visited_at=AT, membership_id=by
    )
    VisitPhoto.objects.create(
        **own,
        visit=visit,
        machine=machine,
        membership_id=by,
        file="photos/none.jpg",
        media_type="image/jpeg",
        size_bytes=1,
        width_px=1,
        height_px=1,
        sha256="0" * 64,
        sent_sha256="0" * 64,
    )
    sheave = machine.sheaves.get()
    reading = Reading.objects.create(
        **own,
        upload=upload,
        visit=visit,
        machine=machine,
        sheave=sheave,
        groove=sheave.grooves.first(),
        reference=f"r-{named}",
        kind="bottom_clearance",
        typed_value="2.0",
        typed_unit="mm",
        value=2.0,
        taken_at=AT,
    )
    ReadingReview.objects.create(
        **own, reading=reading, accepted=True, membership_id=by, why="seen"
    )
    assess(cast, machine)
    stop(cast, machine, reading=reading, upload=upload)
    propose(cast)
    OwnerAnswer.objects.create(
        **own,
        machine=machine,
        kind="RE_ROPE",
        answer="AGREE",
        membership_id=cast.memberships["OWNER_READER"].pk,
    )
    Scenario.objects.create(
        **own,
        machine=machine,
        name="a lighter car",
        changes={"car_mass_kg": 900.0},
        answer=tried.answer(),
        membership_id=by,
        shared_with_owner=True,
    )
    handed = HandOver.objects.create(
        **own,
        machine=machine,
        direction=HandOverDirection.TAKEN,
        state=HandOverState.DONE,
        number=uuid.uuid4(),
        house="West Lifts",
        word_by="the owner",
        word_on=AT.date(),
        words="by letter",
        membership_id=by,
        done_at=AT,
    )
    HandedRow.objects.create(
        **own,
        hand_over=handed,
        table="readings",
        row_id=reading.pk,
        origin_id=7,
        origin_reference="r-7",
    )
    moved_to = Visit.objects.create(
        **own, machine=machine, reference=f"w-{named}", visited_at=AT, membership_id=by
    )
    VisitMove.objects.create(
        **own,
        from_visit=visit,
        to_visit=moved_to,
        pairs=[[reading.pk, reading.pk]],
        why="the neighbour's label",
        membership_id=by,
        moved_at=AT,
    )
    decide(cast, machine, named=named)
    send(cast, machine, named=named)
    Job.objects.create(
        contractor_id=cast.contractor.pk,
        kind="inspections.tasks.assess",
        subject_id=machine.pk,
        key=named,
    )


def stop(
    cast: factories.Cast, machine: Machine, *, reading: Reading, upload: Upload
) -> None:
    """Give a machine a stop that was released, with what happened to it."""
    own = {"contractor": cast.contractor}
    office = cast.memberships["OFFICE"].pk
    finding = machine.findings.first()
    found = Stop.objects.create(
        **own,
        machine=machine,
        cause="ROPE_BOTTOMS",
        place_kind="GROOVE",
        groove=reading.groove,
        rope=machine.rope_sets.first().ropes.first(),
        place_key=f"groove:{reading.groove_id}",
        basis="OBSERVED",
        since=AT,
        readings=[reading.pk],
        finding=finding,
        release="REFUTED",
        released_at=AT,
        released_by=office,
        release_why="the gauge was not on the rope",
        release_work=machine.works.first(),
    )
    StopEvent.objects.create(
        **own, stop=found, kind="RAISED", at=AT, upload=upload, finding=finding
    )


def propose(cast: factories.Cast) -> None:
    """Give a contractor a release of stops in bulk."""
    BulkRelease.objects.create(
        contractor=cast.contractor,
        withdrawn_kind="VERSION",
        withdrawn="4",
        why="a limit was mistyped",
        proposed_by=cast.memberships["OFFICE"].pk,
        proposed_at=AT,
    )


def decide(cast: factories.Cast, machine: Machine, *, named: str) -> None:
    """Give a machine options, planned work, and a line on the list of what is due."""
    own = {"contractor": cast.contractor}
    by = cast.memberships["OFFICE"].pk
    OptionSet.objects.create(
        **own, machine=machine, as_of=AT, rules_version="1", inputs_digest="0" * 64
    )
    planned = PlannedWork.objects.create(
        **own,
        machine=machine,
        kind="RE_ROPE",
        due_before_on=date(2026, 10, 1),
        chosen_by=by,
        chosen_at=AT,
    )
    PlannedStep.objects.create(
        **own, planned_work=planned, state="PLANNED", membership_id=by, words="chosen"
    )
    DueWork.objects.create(
        **own,
        machine=machine,
        building=machine.building,
        owner=machine.building.owner,
        planned_work=planned,
        state="PLANNED",
        kind="RE_ROPE",
        due_before_on=date(2026, 10, 1),
        rank_on=date(2026, 10, 1),
        grade=Grade.PLAN_WORK,
        part="rope 13 mm 8x19",
        part_count=5,
    )
    last = Terms.objects.filter(**own, subject="THRESHOLDS").first()
    Terms.objects.create(
        **own, subject="THRESHOLDS", replaces=last, membership_id=by, why=named
    )
    CalendarFeed.objects.create(
        **own, name=named, prefix=named[:12], digest="0" * 64, membership_id=by
    )


def send(cast: factories.Cast, machine: Machine, *, named: str) -> None:
    """Give a machine's building a plan, a published report, and a refused mail."""
    own = {"contractor": cast.contractor}
    place = {"owner": machine.building.owner, "building": machine.building}
    plan = ReportPlan.objects.create(**own, **place, next_due_at=AT)
    report = Report.objects.create(
        **own,
        **place,
        plan=plan,
        machine=machine,
        period_start=date(2026, 1, 1),
        period_end=date(2026, 4, 1),
        number=f"R-{named}",
        state="PUBLISHED",
        checksum="0" * 64,
        file="reports/none.pdf",
        file_sha256="0" * 64,
    )
    delivery = Delivery.objects.create(
        **own,
        report=report,
        address="anna@mill.example",
        message_id=f"<{named}@lifts.example>",
        next_try_at=AT,
    )
    RefusedAddress.objects.create(
        **own, address=f"{named}@mill.example", delivery=delivery, refused_at=AT
    )


def assess(cast: factories.Cast, machine: Machine, *, findings: int = 1) -> None:
    """Give a machine an assessment with findings, and a forecast."""
    own = {"contractor": cast.contractor, "machine": machine}
    assessment = Assessment.objects.create(
        **own,
        as_of=AT,
        criteria_set="EN_81_20",
        kernel_version="1",
        inputs={},
        inputs_digest="0" * 64,
        grade=Grade.IN_ORDER,
    )
    Finding.objects.filter(machine=machine).update(current=False)
    Finding.objects.bulk_create(
        Finding(
            **own,
            assessment=assessment,
            topic="bottoming",
            place=f"groove {number}",
            grade=Grade.IN_ORDER,
        )
        for number in range(findings)
    )
    WearLimit.objects.get_or_create(
        **own,
        quantity="depth",
        place="groove 1",
        defaults={"value": 4.0, "reason": "bottoming", "assessment": assessment},
    )
    Forecast.objects.update_or_create(
        **own,
        quantity="depth",
        place="groove 1",
        defaults={
            "as_of": AT,
            "state": "NONE",
            "model_version": "1",
            "track": track(cast, machine),
            "run": run(cast, machine),
        },
    )


def track(cast: factories.Cast, machine: Machine) -> WearTrack:
    """Return the machine's course of wear, with one point."""
    own = {"contractor": cast.contractor, "machine": machine}
    found, _ = WearTrack.objects.get_or_create(
        **own,
        quantity="depth",
        place="groove 1",
        begun_on=date(2020, 1, 15),
        defaults={"class_name": "seat depth, undercut", "prepared_by": "1"},
    )
    for visit in machine.visits.all():
        TrackPoint.objects.get_or_create(
            **own, track=found, visit=visit, taken_at=AT, level=1.0, sd=0.1
        )
    return found


def run(cast: factories.Cast, machine: Machine) -> ForecastRun:
    """Return a run of the model for the machine, with what it rests on."""
    own = {"contractor": cast.contractor}
    learnt, _ = Hyperparameters.objects.get_or_create(
        **own, learnt_at=AT, model_version="1", defaults={"record": {}}
    )
    PlanningRule.objects.get_or_create(**own)
    ForecastScore.objects.get_or_create(
        **own, class_name=f"wear of {machine.code}", scored_on=AT.date()
    )
    found, _ = ForecastRun.objects.get_or_create(
        **own,
        cause="NIGHT",
        model_version=machine.code[:20],
        started_at=AT,
        hyperparameters=learnt,
    )
    return found


def grow(cast: factories.Cast, *, machines: int, mark: str = "grown") -> None:
    """Give a contractor more machines, one row of everything each."""
    from fleet.register import registry

    callers.confine(cast)
    building = Building.objects.get(code="mill-house")
    for number in range(machines):
        entry = factories.undercut_machine() | {"code": f"{mark}-{number}"}
        registry._register_machine(building=building, entry=entry)
        fill(cast, factories.machine(cast.scope(), f"{mark}-{number}"))
