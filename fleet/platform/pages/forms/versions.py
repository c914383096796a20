"""Two people over one thing: the second is told what the first changed, and when.

Each form carries the version it shows and what it showed, signed. If somebody was
quicker, what the second has not touched takes the new value, what the second typed
stays typed, and each field that both changed is named with both. Nothing is stored
until it is sent again.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.core import signing

from fleet.platform import naming
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Change, Person
from fleet.platform.pages.forms.form import PageForm, Raw
from fleet.platform.visibility import asking

FIELD = "read"
_SALT = "fleet.platform.pages.forms.versions"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A field that somebody else changed: as it was, as it is now, as was typed.

    `typed` is empty where the second person had not touched it.
    """

    label: str
    before: str
    now: str
    typed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """Somebody was quicker: what they changed, who, and the form as it is now due."""

    differences: list[Difference]
    by: str
    at: datetime | None
    merged: Any


def shown(*, row: Any, read: Raw) -> str:
    """Return what the form carries: the version it shows and what it showed."""
    return signing.dumps(
        {"row": row.pk, "version": row.version, "read": read},
        salt=_SALT,
        compress=True,
    )


def overtaken(
    *, row: Any, carried: str, current: PageForm, sent: PageForm, scope: Scope
) -> Overtaken | None:
    """Return what others changed since the form was shown, None if nobody did.

    `current` shows the row as it is, `sent` is what came in. A form that does not say
    what it showed counts as one that showed nothing.
    """
    seen = _loaded(carried, row)
    if seen is not None and seen["version"] == row.version:
        return None
    before: Raw = seen["read"] if seen is not None else {}
    now, typed = current.read(), sent.typed()
    differences, merged = [], {}
    for name, field in current.fields.items():
        old, new, own = before.get(name, []), now[name], typed[name]
        is_touched = own != old
        merged[name] = own if is_touched else new
        if new != old and new != own:
            differences.append(
                Difference(
                    label=str(field.label or name),
                    before=current.said(name, old),
                    now=current.said(name, new),
                    typed=current.said(name, own) if is_touched else "",
                )
            )
    by, at = _last_change(row=row, scope=scope)
    return Overtaken(
        differences=differences, by=by, at=at, merged=current.filled_in(merged)
    )


def _loaded(carried: str, row: Any) -> dict[str, Any] | None:
    try:
        found: dict[str, Any] = signing.loads(carried[:60_000], salt=_SALT)
    except signing.BadSignature:
        return None
    return found if found["row"] == row.pk else None


def _last_change(*, row: Any, scope: Scope) -> tuple[str, datetime | None]:
    """Return who changed a row last, as far as the reader may know."""
    lines = asking.rows(Change, scope=scope)
    line = lines.filter(table=row._meta.db_table, row_id=row.pk).first()
    if line is None:
        return "", None
    person = Person.objects.filter(pk=line.person_id).first()
    if person is None:
        return "", line.created_at
    return naming.called(person), line.created_at
