"""`manage.py register_portfolio FILE`: a contractor with all it looks after."""

import json
import sys
from argparse import ArgumentParser
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.core.exceptions import FieldDoesNotExist, ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, transaction
from django.utils import timezone

from fleet.models import Contractor
from fleet.platform.errors import DomainError
from fleet.platform.queue import tasks
from fleet.register import registry

# What a file can have wrong, besides what the registry tells by itself.
ODD = (
    DatabaseError,
    FieldDoesNotExist,
    LookupError,
    OSError,
    TypeError,
    ValidationError,
    ValueError,
)


class Command(BaseCommand):
    help = (
        "Register a new contractor with people, owners, buildings and machines from "
        "one JSON file in the form of fixtures/demo/portfolio.json; - reads the "
        "standard input. All or nothing."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("path", type=Path, metavar="FILE.json")

    def handle(self, *, path: Path, **_: Any) -> None:
        """Register it and say what was stored; nothing is stored otherwise."""
        try:
            contractor, people = _register(_read(path))
        except DomainError as problem:
            raise CommandError(str(problem)) from problem
        except ODD as problem:
            raise CommandError(_sentence(path, problem)) from problem
        self.stdout.write(f"Registered {contractor}, number {contractor.pk}.")
        self.stdout.write(f"People without a password yet: {', '.join(people)}")


def _read(path: Path) -> Mapping[str, Any]:
    is_piped = str(path) == "-"
    found = json.loads(sys.stdin.read() if is_piped else path.read_text("utf-8"))
    if not isinstance(found, dict):
        raise ValueError("it is no JSON object")
    return found


@transaction.atomic
def _register(portfolio: Mapping[str, Any]) -> tuple[Contractor, list[str]]:
    contractor = registry.register(portfolio=portfolio)
    contractor.nightly_due_at = tasks.next_night(
        after=timezone.now(), zone=contractor.time_zone
    )
    contractor.save(update_fields=["nightly_due_at"])
    names = contractor.memberships.order_by("person__username")
    return contractor, list(names.values_list("person__username", flat=True))


def _sentence(path: Path, problem: Exception) -> str:
    if isinstance(problem, KeyError):
        return f"{path} cannot be taken: {problem} is missing in it."
    return f"{path} cannot be taken: {str(problem).splitlines()[0]}"
