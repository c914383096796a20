"""`manage.py renew_sealed_secrets`: seal by the present SECRET_KEY what is sealed."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from fleet.models import SecondFactor
from fleet.platform import sealing


class Command(BaseCommand):
    help = (
        "Seal all stored secrets by the present SECRET_KEY. Run it after SECRET_KEY "
        "was changed, before the earlier one leaves SECRET_KEY_FALLBACKS."
    )

    @transaction.atomic
    def handle(self, **options: Any) -> None:
        """Say how many there were, or which cannot be opened; then none is changed."""
        rows = SecondFactor.objects.select_for_update().exclude(sealed_secret="")
        for row in rows.order_by("pk"):
            try:
                row.sealed_secret = sealing.renewed(row.sealed_secret)
            except sealing.Unopenable:
                raise CommandError(
                    f"Second factor {row.pk} was sealed by a key that is neither "
                    "SECRET_KEY nor among SECRET_KEY_FALLBACKS."
                ) from None
            row.save(update_fields=["sealed_secret"])
        self.stdout.write(f"{len(rows)} secrets are sealed by the present SECRET_KEY.")
