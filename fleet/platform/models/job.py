"""The one job table: the queue of truth, of which a broker's message is the bell."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Now

from fleet.platform import choices
from fleet.platform.database.tenancy import Scope


class JobQuerySet(models.QuerySet["Job"]):
    """Jobs; outside the second ring, so each query names the contractor."""

    def within(self, scope: Scope) -> "JobQuerySet":
        """Return the rows the scope may see: none for an owner's reader."""
        rows = self.filter(contractor_id=scope.contractor_id)
        return rows if scope.owner_id is None else rows.none()


class Job(models.Model):
    """One piece of pending or finished work: ids, kind and state, nothing secret.

    Outside row-level security, because the sweeper looks over all contractors;
    the task that a job names confines itself to the job's contractor.
    """

    kind = models.CharField(max_length=100, help_text="A dotted task name.")
    contractor_id = models.BigIntegerField()
    subject_id = models.BigIntegerField(
        null=True, blank=True, help_text="What the task is about, such as a machine."
    )
    key = models.CharField(
        max_length=120,
        help_text="Two queued jobs of the same kind and key are one job.",
    )
    state = models.CharField(
        max_length=10,
        choices=choices.JobState.choices,
        default=choices.JobState.QUEUED,
    )
    attempts = models.PositiveSmallIntegerField(default=0)
    workers_lost = models.PositiveSmallIntegerField(
        default=0, db_default=0, help_text="How many workers died while they had it."
    )
    due_at = models.DateTimeField(db_default=Now())
    lease_until = models.DateTimeField(null=True, blank=True)
    put_off_since = models.DateTimeField(
        null=True,
        help_text="When it was first put off for something else; empty when not.",
    )
    rung_at = models.DateTimeField(
        null=True, blank=True, help_text="When the sweeper told the workers last."
    )
    parts = models.PositiveIntegerField(
        null=True, help_text="How many parts longer work has, where it says so."
    )
    parts_done = models.PositiveIntegerField(null=True)
    created_at = models.DateTimeField(db_default=Now(), editable=False)
    finished_at = models.DateTimeField(null=True, blank=True)
    problem = models.CharField(
        max_length=300, blank=True, help_text="Class of the last failure."
    )

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["due_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "contractor_id", "key"],
                condition=Q(state=choices.JobState.QUEUED),
                name="job_queued_once",
            )
        ]
        indexes = [
            models.Index(
                fields=["due_at"],
                condition=Q(state__in=["QUEUED", "RUNNING"]),
                name="job_pending",
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.key} ({self.state})"
