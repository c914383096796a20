"""`manage.py rules_preview`: what corrected rules would change, before they do."""

from argparse import ArgumentParser
from collections import Counter
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from fleet.models import Contractor
from fleet.platform.database import tenancy
from inspections import cautions, versions
from inspections.assessment import previewing
from inspections.assessment.previewing import MachineChange


class Command(BaseCommand):
    help = (
        "List the machines of which the rules of this version would say something else "
        "than what stands: grades, findings, and who would be told to stop. Nothing is "
        "written. Type it with the new version before its workers start."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--contractor", metavar="CODE", help="only this one")
        parser.add_argument(
            "--findings", action="store_true", help="each finding that would change"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        contractors = Contractor.objects.filter(retired_on=None).order_by("code")
        if options["contractor"]:
            contractors = contractors.filter(code=options["contractor"])
            if not contractors:
                raise CommandError(f"There is no contractor {options['contractor']!r}.")
        for contractor in contractors:
            self._of(contractor, in_full=options["findings"])
        for caution in cautions.SHORT:
            self.stdout.write(caution)

    def _of(self, contractor: Contractor, *, in_full: bool) -> None:
        counted: Counter[str] = Counter()
        with tenancy.acting_for(contractor_id=contractor.pk) as scope:
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION READ ONLY")
            try:
                for change in previewing.preview(scope=scope, as_of=timezone.now()):
                    self._count(counted, change)
                    if change is not None:
                        self._tell(change, in_full=in_full)
            except versions.NewerRules as error:
                raise CommandError(f"Newer rules are at work: {error}.") from error
        self.stdout.write(
            f"{contractor.code}: {counted['machines']} machines, of which "
            f"{counted['rules']} would change by the rules alone, {counted['both']} by "
            f"what was read or entered since too; {counted['grades']} would have "
            f"another grade, {counted['stops']} a new reason to stand still."
        )

    def _count(self, counted: Counter[str], change: MachineChange | None) -> None:
        counted["machines"] += 1
        if change is not None:
            counted["rules" if change.rules_only else "both"] += 1
            counted["grades"] += change.before != change.after
            counted["stops"] += change.newly_stops

    def _tell(self, change: MachineChange, *, in_full: bool) -> None:
        why = "rules" if change.rules_only else "rules, readings or register"
        stops = ", newly to be stopped" if change.newly_stops else ""
        self.stdout.write(
            f"{change.code}, {change.building}: {change.before or 'not judged'} -> "
            f"{change.after} ({why}; {len(change.findings)} findings{stops})"
        )
        for each in change.findings if in_full else ():
            where = ", ".join(t for t in (each.topic, each.place, each.criterion) if t)
            self.stdout.write(f"  {where}: {each.before or '-'} -> {each.after or '-'}")
