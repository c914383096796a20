"""`manage.py reset_second_factor`: for whoever has lost telephone and codes."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from fleet.models import Person
from fleet.platform.access.factors import showing
from fleet.platform.database import tenancy


class Command(BaseCommand):
    help = (
        "Take away all second factors of one person and end their sessions. Make sure "
        "first that it is they who ask: the password alone lets them set up new ones."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")

    @transaction.atomic
    def handle(self, **options: Any) -> None:
        """Say how many there were, or that nobody is called so."""
        person = Person.objects.filter(username=options["username"]).first()
        if person is None:
            raise CommandError(f"Nobody is named {options['username']!r}.")
        tenancy.act_as(tenancy.Actor(via="manage.py reset_second_factor"))
        number = showing.reset(person=person, at=timezone.now())
        self.stdout.write(
            f"{number} second factors of {person.get_username()} were taken away, and "
            "their sessions ended."
        )
