"""`manage.py invite_person`: the first one in an office, by a link shown once."""

from argparse import ArgumentParser
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone

from fleet.models import Contractor, Membership, Owner
from fleet.platform.choices import Role
from fleet.platform.database import tenancy
from fleet.platform.errors import DomainError
from fleet.register import people
from fleet.register.people.inviting import LONGEST_EMAIL, Invitee


class Command(BaseCommand):
    help = (
        "Invite someone to a contractor and print the link with which they set a "
        "password: for the first one in an office, who then invites the others."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email")
        parser.add_argument("--contractor", required=True, metavar="CODE")
        parser.add_argument("--role", choices=Role.values, default=Role.OFFICE)
        parser.add_argument("--owner", metavar="CODE", help="of an owner's reader")

    def handle(self, **options: Any) -> None:
        """Print the link, or say why nobody was invited."""
        try:
            validate_email(options["email"])
            if len(options["email"]) > LONGEST_EMAIL:
                raise ValidationError(f"more than {LONGEST_EMAIL} letters")
            membership = _invite(**options)
        except ValidationError as problem:
            raise CommandError(
                f"{options['email']} is no address: {problem.messages[0]}"
            ) from problem
        except DomainError as problem:
            raise CommandError(problem.detail) from problem
        self.stdout.write(people.address(membership=membership))


@transaction.atomic
def _invite(
    *, email: str, contractor: str, role: str, owner: str | None, **_: Any
) -> Membership:
    place = Contractor.objects.filter(code=contractor, retired_on=None).first()
    if place is None:
        raise CommandError(f"No contractor has the code {contractor!r}.")
    tenancy.confine(
        contractor_id=place.pk, actor=tenancy.Actor(via="manage.py invite_person")
    )
    membership, _ids = people.invite(
        contractor_id=place.pk,
        invitation=Invitee(
            email=email, role=role, owner_id=_owner_id(place, code=owner)
        ),
        at=timezone.now(),
        by_mail=False,
    )
    return membership


def _owner_id(contractor: Contractor, *, code: str | None) -> int | None:
    if code is None:
        return None
    found = Owner.objects.filter(contractor=contractor, code=code).first()
    if found is None:
        raise CommandError(f"No owner has the code {code!r}.")
    return int(found.pk)
