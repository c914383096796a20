"""Stops: what keeps a machine out of service, from raising to release, never forgotten.

A stop is latched. Silence, a later "no", another place or a later visit end nothing;
only what `inspections/stops` knows as a release does.
"""

from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q

from fleet.models import Groove, Machine, Rope, TenantRow, Work
from fleet.platform.models.tenant import TenantForeignKey, measure, sparse, sparse_key
from fleet.platform.visibility import OFFICE, Visibility, only
from inspections.models.finding import Finding
from inspections.models.visit import Upload


class StopCause(models.TextChoices):
    """Why a machine stands; the one catalogue of their words."""

    ROPE_SLIP = "ROPE_SLIP", "the ropes were seen to slip"
    MARKS_SLIP = "MARKS_SLIP", "rope marks moved more than creep explains"
    SLIP_TEST_FAILED = "SLIP_TEST_FAILED", "a slip test was not passed"
    TRACTION = "TRACTION", "traction is below what the load cases ask"
    BRAKE_SLIDES = "BRAKE_SLIDES", "the brake was seen to slide"
    BRAKE_DEFECT = "BRAKE_DEFECT", "the brake has a defect"
    CRACK = "CRACK", "a crack was seen"
    FASTENING_DEFECT = "FASTENING_DEFECT", "a rope fastening has a defect"
    PART_DEFECT = "PART_DEFECT", "a part has a defect"
    ROPE_BOTTOMS = "ROPE_BOTTOMS", "a rope has no clearance to its groove's bottom"
    BROKEN_WIRES = "BROKEN_WIRES", "broken wires are beyond the limit"
    ROPE_DIAMETER = "ROPE_DIAMETER", "a rope is thinner than its limit"
    ROPE_DISCARD = "ROPE_DISCARD", "a rope is to be discarded"
    OTHER = "OTHER", "a finding takes the machine out of service"


class StopPlace(models.TextChoices):
    """What a stop's place is on."""

    MACHINE = "MACHINE", "the machine"
    GROOVE = "GROOVE", "a groove"
    ROPE = "ROPE", "a rope"
    PART = "PART", "a part that is named in words"


class StopBasis(models.TextChoices):
    OBSERVED = "OBSERVED", "seen by a person"
    WORKED_OUT = "WORKED_OUT", "worked out from readings"


class Release(models.TextChoices):
    WORK = "WORK", "work, read as left, and accepted"
    REFUTED = "REFUTED", "refuted with a reason"
    MOVED = "MOVED", "its visit was made at another machine"
    CORRECTED = "CORRECTED", "corrected by whoever read it, at the same visit"
    RETIRED = "RETIRED", "the machine was retired or handed over"
    BULK = "BULK", "worked out by what was withdrawn"


class StopEventKind(models.TextChoices):
    RAISED = "RAISED", "raised"
    TAKEN_OVER = "TAKEN_OVER", "taken over from a finding that stood already"
    REPEATED = "REPEATED", "read or found again"
    WORSENED = "WORSENED", "worse than before"
    TOLD = "TOLD", "told"
    ESCALATED = "ESCALATED", "told to the next on the list"
    REMINDED = "REMINDED", "told again, still open"
    ACKNOWLEDGED = "ACKNOWLEDGED", "acknowledged"
    RUNNING = "RUNNING_ALTHOUGH_STOPPED", "running although stopped"
    RELEASED = "RELEASED", "released"
    REOPENED = "REOPENED", "open again"


class Stop(TenantRow):
    """One cause at one place; open until it is released, one open row each.

    `place_key` tells places apart: `groove:12`, `rope:5`, a part's name, `machine`.
    `margin_ratio` is the worst margin told so far in shares of its limit. A stop that
    was ever observed stays observed. A release is the contractor's own statement.
    """

    visibility = Visibility(only=only(OFFICE, "place_key"))

    machine = TenantForeignKey(Machine, on_delete=models.PROTECT, related_name="stops")
    cause = models.CharField(max_length=30, choices=StopCause.choices)
    place_kind = models.CharField(max_length=10, choices=StopPlace.choices)
    groove = sparse_key(Groove)
    rope = sparse_key(Rope)
    place = models.CharField(max_length=80, blank=True)
    place_key = models.CharField(max_length=130)
    basis = models.CharField(max_length=10, choices=StopBasis.choices)
    since = models.DateTimeField()
    readings = ArrayField(models.BigIntegerField(), default=list, blank=True)
    finding = sparse_key(Finding)
    criteria_set = models.CharField(max_length=60, blank=True)
    kernel_version = models.CharField(max_length=20, blank=True)
    value = measure()
    limit = measure()
    unit = models.CharField(max_length=10, blank=True)
    margin_ratio = measure()
    acknowledged_at = models.DateTimeField(null=True, blank=True)
    acknowledged_by = models.BigIntegerField(
        null=True, blank=True, help_text="Who has said to have heard of it."
    )
    released_at = models.DateTimeField(null=True, blank=True)
    release = models.CharField(max_length=10, choices=Release.choices, blank=True)
    released_by = models.BigIntegerField(null=True, blank=True)
    release_why = models.CharField(max_length=1000, blank=True)
    release_work = sparse_key(Work)
    release_readings = ArrayField(models.BigIntegerField(), default=list, blank=True)

    class Meta:
        ordering = ["machine", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["machine", "cause", "place_key"],
                condition=Q(released_at=None),
                name="stop_open_once_a_cause_and_place",
            ),
            models.CheckConstraint(
                condition=Q(released_at=None, release="")
                | Q(released_at__isnull=False) & ~Q(release=""),
                name="stop_release_says_how",
            ),
            models.CheckConstraint(
                condition=Q(release__in=["", "RETIRED"])
                | Q(released_by__isnull=False) & ~Q(release_why=""),
                name="stop_release_says_who_and_why",
            ),
        ]
        indexes = [
            models.Index(
                fields=["contractor", "since", "id"],
                condition=Q(released_at=None),
                name="stop_open_by_since",
            ),
            sparse("groove", name="stop_of_groove"),
            sparse("rope", name="stop_of_rope"),
            sparse("finding", name="stop_of_finding"),
            sparse("release_work", name="stop_of_release_work"),
        ]

    def __str__(self) -> str:
        return f"{self.get_cause_display()} {self.place}".rstrip()

    @property
    def is_open(self) -> bool:
        return self.released_at is None


class StopEvent(TenantRow):
    """What happened to a stop; only added to."""

    owner_lookup = "stop__machine__building__owner_id"
    # By itself it goes out to the office; others see it within its stop.
    visibility = Visibility(roles=OFFICE, only=only(OFFICE, "told"))

    stop = TenantForeignKey(Stop, on_delete=models.PROTECT, related_name="events")
    kind = models.CharField(max_length=25, choices=StopEventKind.choices)
    at = models.DateTimeField()
    membership_id = models.BigIntegerField(null=True, blank=True)
    readings = ArrayField(models.BigIntegerField(), default=list, blank=True)
    upload = sparse_key(Upload)
    finding = sparse_key(Finding)
    margin_ratio = measure()
    told = ArrayField(
        models.BigIntegerField(),
        default=list,
        blank=True,
        help_text="The memberships that were written to.",
    )
    words = models.CharField(max_length=1000, blank=True)

    class Meta:
        ordering = ["stop", "pk"]
        indexes = [
            sparse("upload", name="stop_event_of_upload"),
            sparse("finding", name="stop_event_of_finding"),
        ]

    def __str__(self) -> str:
        return f"stop {self.stop_id}: {self.get_kind_display()}"


class WithdrawnKind(models.TextChoices):
    VERSION = "VERSION", "a version of the rules that was withdrawn"
    CRITERIA_SET = "CRITERIA_SET", "a criteria set that was corrected"


class BulkRelease(TenantRow):
    """Stops that were worked out by what was withdrawn: two people end them.

    One proposes, with the list; another confirms. `ended` are those that qualified
    still when it was confirmed.
    """

    owner_lookup = ""
    visibility = Visibility(roles=OFFICE)

    withdrawn_kind = models.CharField(max_length=12, choices=WithdrawnKind.choices)
    withdrawn = models.CharField(max_length=60)
    why = models.CharField(max_length=1000)
    proposed_by = models.BigIntegerField()
    proposed_at = models.DateTimeField()
    stops = ArrayField(models.BigIntegerField(), default=list)
    confirmed_by = models.BigIntegerField(null=True, blank=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    ended = ArrayField(models.BigIntegerField(), default=list, blank=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(confirmed_at=None, confirmed_by=None)
                | Q(confirmed_at__isnull=False, confirmed_by__isnull=False)
                & ~Q(confirmed_by=models.F("proposed_by")),
                name="bulk_release_by_two_people",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_withdrawn_kind_display()}: {self.withdrawn}"
