"""What the office does to many rows at once."""

from typing import Any

from django.contrib import admin, messages
from django.db import IntegrityError, transaction
from django.db.models import F
from django.http import HttpRequest
from django.utils import timezone

from fleet.register.admin.tenant import look_again


@admin.action(description="Retire as of today", permissions=["change"])
def retire(page: Any, request: HttpRequest, rows: Any) -> None:
    """Retire the chosen rows that are still in use; they stay readable."""
    chosen = list(rows.filter(retired_on=None).values_list("pk", flat=True))
    try:
        with transaction.atomic():
            rows.model.objects.filter(pk__in=chosen, retired_on=None).update(
                retired_on=timezone.now().date(), version=F("version") + 1
            )
    except IntegrityError:
        text = "One of them cannot be retired as of today; none was."
        page.message_user(request, text, messages.ERROR)
        return
    look_again(request, page.get_queryset(request).filter(pk__in=chosen))
    page.message_user(request, f"{len(chosen)} retired.", messages.SUCCESS)


@admin.action(description="Assess again", permissions=["view"])
def assess(page: Any, request: HttpRequest, rows: Any) -> None:
    """Have the chosen machines assessed with what is known now."""
    count = look_again(request, rows)
    page.message_user(request, f"{count} will be assessed.", messages.SUCCESS)
