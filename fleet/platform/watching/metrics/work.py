"""What the job table and the clockwork say: jobs, waiting, ticks, nights."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings
from django.db.models import Count, Max, Min, Q

from fleet.platform.choices import JobState
from fleet.platform.models import Contractor, Job, Tick
from fleet.platform.queue import mail_hold
from fleet.platform.watching import version
from fleet.platform.watching.metrics.exposition import MetricFamily, Sample


def families(*, now: datetime) -> tuple[MetricFamily, ...]:
    """Return everything that `fleet` knows of itself."""
    return (
        _build(),
        _jobs(),
        _waiting(now),
        _put_off(now),
        _mails(),
        _ticks(),
        *_nights(),
    )


def _build() -> MetricFamily:
    return MetricFamily(
        name="ropeseat_build_info",
        meaning="Always 1; the version is in the label.",
        samples=(Sample(value=1, labels={"version": version.VERSION}),),
    )


def _jobs() -> MetricFamily:
    counted = Job.objects.order_by().values_list("kind", "state").annotate(Count("pk"))
    return MetricFamily(
        name="ropeseat_jobs",
        meaning="Jobs in the job table, by kind and state.",
        samples=tuple(
            Sample(value=number, labels={"kind": kind, "state": state})
            for kind, state, number in counted.order_by("kind", "state")
        ),
    )


def _waiting(now: datetime) -> MetricFamily:
    # Of a job whose worker died, the end of its lease is when it became due anew.
    due = Q(state=JobState.QUEUED, due_at__lte=now)
    lapsed = Q(state=JobState.RUNNING, lease_until__lte=now)
    found = (
        Job.objects.filter(due | lapsed)
        .order_by()
        .values_list("kind")
        .annotate(
            due=Min("due_at", filter=due), lapsed=Min("lease_until", filter=lapsed)
        )
    )
    return MetricFamily(
        name="ropeseat_job_oldest_due_age_seconds",
        meaning="How long the job of this kind that is longest due has waited.",
        samples=tuple(
            Sample(
                value=(now - min(filter(None, times))).total_seconds(),
                labels={"kind": kind},
            )
            for kind, *times in found.order_by("kind")
        ),
    )


def _put_off(now: datetime) -> MetricFamily:
    # Also while it is tried once more: else the number would be away at that moment.
    found = (
        Job.objects.filter(
            state__in=(JobState.QUEUED, JobState.RUNNING), put_off_since__isnull=False
        )
        .order_by()
        .values_list("kind")
        .annotate(Min("put_off_since"))
    )
    return MetricFamily(
        name="ropeseat_job_put_off_oldest_age_seconds",
        meaning="How long the job of this kind that is longest put off waits.",
        samples=tuple(
            Sample(value=(now - since).total_seconds(), labels={"kind": kind})
            for kind, since in found.order_by("kind")
        ),
    )


def _mails() -> MetricFamily:
    return MetricFamily(
        name="ropeseat_mails_held",
        meaning="1 while mails wait for a person after a restore, else 0.",
        samples=(Sample(value=int(mail_hold.is_held())),),
    )


def _ticks() -> MetricFamily:
    return MetricFamily(
        name="ropeseat_tick_last_timestamp_seconds",
        meaning="When a worker last performed this tick of beat (Unix time).",
        samples=tuple(
            Sample(value=tick.last_at.timestamp(), labels={"tick": tick.name})
            for tick in Tick.objects.all()
        ),
    )


def _nights() -> tuple[MetricFamily, ...]:
    due = Contractor.objects.filter(retired_on=None).order_by("pk")
    done = (
        Job.objects.filter(
            kind__in=settings.NIGHTLY_JOBS,
            state=JobState.DONE,
            contractor_id__in=due.values("pk"),
        )
        .order_by()
        .values_list("contractor_id")
        .annotate(Max("finished_at"))
        .order_by("contractor_id")
    )
    return (
        MetricFamily(
            name="ropeseat_nightly_due_timestamp_seconds",
            meaning="When the contractor's next nightly run starts (Unix time).",
            samples=_of_contractors(due.values_list("pk", "nightly_due_at")),
        ),
        MetricFamily(
            name="ropeseat_nightly_last_timestamp_seconds",
            meaning="When the contractor's last nightly run was planned (Unix time).",
            samples=_of_contractors(done),
        ),
    )


def _of_contractors(times: Iterable[tuple[int, datetime | None]]) -> tuple[Sample, ...]:
    return tuple(
        Sample(value=at.timestamp(), labels={"contractor": str(number)})
        for number, at in times
        if at is not None
    )
