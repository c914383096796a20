"""`manage.py retry_jobs`: failed jobs are tried again."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db.models import Count, QuerySet
from django.utils import timezone

from fleet.management.contractor_files import contractor_named
from fleet.models import Job
from fleet.platform.queue import retrying


class Command(BaseCommand):
    help = (
        "Queue failed jobs afresh, once the cause is mended. Name jobs, or a kind, or "
        "a contractor (all that is named must fit), or --all. --dry-run only looks."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("ids", nargs="*", type=int, metavar="ID")
        parser.add_argument(
            "--kind", action="append", default=[], help="such as reports.tasks.publish"
        )
        parser.add_argument("--contractor", metavar="CODE")
        parser.add_argument("--all", action="store_true", help="every failed job")
        parser.add_argument("--dry-run", action="store_true", help="only look")

    def handle(self, *, dry_run: bool, **options: Any) -> None:
        """Say which failed jobs are meant, and queue them unless only looking."""
        rows = _chosen(**options)
        for kind, problem, count in _counted(rows):
            self.stdout.write(f"{kind}: {count} failed, {problem or 'no reason noted'}")
        if dry_run:
            self.stdout.write(f"{rows.count()} would be tried again.")
            return
        done = retrying.retry(rows=rows, now=timezone.now())
        self.stdout.write(f"{len(done.queued)} will be tried again.")
        if done.left_to_others:
            self.stdout.write(f"{len(done.left_to_others)} were queued anew already.")


def _chosen(
    *, ids: list[int], kind: list[str], contractor: str | None, all: bool, **_: Any
) -> QuerySet[Job]:
    named = bool(ids or kind or contractor)
    if named == all:
        raise CommandError("Name jobs, --kind or --contractor; or --all, alone.")
    rows = retrying.failed(
        ids=ids,
        kinds=kind,
        contractor_id=contractor_named(contractor).pk if contractor else None,
    )
    missing = sorted(set(ids) - set(rows.values_list("pk", flat=True)))
    if missing:
        names = ", ".join(map(str, missing))
        raise CommandError(f"Not among the failed jobs that fit: {names}.")
    return rows


def _counted(rows: QuerySet[Job]) -> list[tuple[str, str, int]]:
    return list(
        rows.order_by("kind", "problem")
        .values_list("kind", "problem")
        .annotate(count=Count("pk"))
    )
