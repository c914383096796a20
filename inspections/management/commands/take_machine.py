"""`manage.py take_machine`: take in a machine that another house has given."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.management.contractor_files import contractor_named
from fleet.models import Building, Membership
from fleet.platform.access import middleware
from fleet.platform.choices import Role
from fleet.platform.database import tenancy
from fleet.platform.errors import DomainError
from fleet.platform.queue import tasks
from inspections import handover


class Command(BaseCommand):
    help = (
        "Store a machine with all its history from the file of a hand-over, all or "
        "nothing. For files that are larger than a request may be."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--contractor", required=True, metavar="CODE")
        parser.add_argument("--building", required=True, metavar="CODE")
        parser.add_argument("--by", required=True, metavar="NAME", help="of the office")
        parser.add_argument("--code", default="", help="what it is called here")

    def handle(self, *, file: Path, **options: Any) -> None:
        """Take it and say what came along."""
        contractor = contractor_named(options["contractor"])
        member = Membership.objects.usable().filter(
            contractor=contractor,
            role=Role.OFFICE,
            person__username=options["by"],
        )
        if (membership := member.first()) is None:
            raise CommandError(f"{options['by']!r} is not in this contractor's office.")
        via = "manage.py take_machine"
        with tenancy.acting_for(contractor_id=contractor.pk, via=via) as server:
            rows = Building.objects.within(server).filter(code=options["building"])
            if (building := rows.first()) is None:
                raise CommandError(f"There is no building {options['building']!r}.")
            try:
                with file.open("rb") as opened:
                    taken = handover.take(
                        scope=middleware.scope_of(membership),
                        file=opened,
                        building_id=building.pk,
                        code=options["code"],
                        now=timezone.now(),
                    )
            except (DomainError, OSError) as problem:
                raise CommandError(str(problem)) from problem
            tasks.wake_after_commit(job_ids=taken.job_ids, kind=handover.ASSESS)
        self._tell(taken)

    def _tell(self, taken: handover.TakenMachine) -> None:
        if taken.repeated:
            self.stdout.write("It was taken before; nothing was changed.")
        for name, count in taken.counts.items():
            self.stdout.write(f"{name}: {count}")
        self.stdout.write(
            f"{taken.open_stops} stops are open. The machine is judged anew by the "
            "criteria of its building here.\n"
            f"Receipt, for the house that gives it: {taken.hand_over.receipt}"
        )
