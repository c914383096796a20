"""Rows of the register as the API takes them: the same rules, the same job behind."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import F
from django.http import HttpRequest
from django.utils import timezone
from rest_framework.request import Request

from fleet.platform.queue import tasks
from fleet.register import registry


def write(
    *, request: HttpRequest, serializer: Any, fields: Mapping[str, Any], row: Any = None
) -> Any:
    """Store a new row, or other values of one, and have its machines judged anew.

    Raises what the API's serializer and the database refuse. `row` is held already.
    """
    data = {name: _plain(value) for name, value in fields.items()}
    given = serializer(
        row,
        data=data,
        partial=row is not None,
        context={"request": Request(request)},
    )
    given.is_valid(raise_exception=True)
    more = {} if row is None else {"version": F("version") + 1}
    stored = given.save(**more)
    stored.refresh_from_db()
    kind = settings.REGISTER_CHANGE_JOB
    ids = registry.reassess(
        scope=request.scope,  # type: ignore[attr-defined]
        row=stored,
        kind=kind,
        now=timezone.now(),
    )
    tasks.wake_after_commit(job_ids=ids, kind=kind)
    return stored


def _plain(value: Any) -> Any:
    """Return a cleaned value as JSON would bring it."""
    if isinstance(value, date):
        return value.isoformat()
    return value.pk if isinstance(value, models.Model) else value
