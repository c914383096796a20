"""A person who left becomes nobody in particular: the rows stay, the names go."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.admin.models import LogEntry
from django.contrib.postgres.fields import ArrayField
from django.db.backends.utils import CursorWrapper
from django.db.models import EmailField, F, Field, Func, Q, QuerySet, Value
from django.db.models.functions import Cast

from fleet.platform.errors import Conflict
from fleet.platform.models import Change, Membership, Person, SecondFactor, Token
from fleet.register.erasing import log

NAMES = ("username", "first_name", "last_name", "email")
VIA = "manage.py erase_person"


class StillThere(Conflict):
    """The person can still do something at a contractor: let them go first."""

    code = "person-still-there"


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """By what a person can be told, and what stands there afterwards."""

    person_id: int
    membership_ids: tuple[int, ...]
    contractor_ids: tuple[int, ...]
    email: str
    full_name: str
    username: str

    @property
    def replacement(self) -> str:
        return f"{log.ERASED}-{self.person_id}"

    @property
    def address(self) -> str:
        # A domain that no mail ever reaches (RFC 2606).
        return f"{self.replacement}@erased.invalid"


def marks_of(person: Person) -> Marks:
    """Return by what the person can be told. Raises StillThere."""
    if Membership.objects.usable().filter(person=person).exists():
        raise StillThere
    rows = Membership.objects.filter(person=person).order_by("pk")
    return Marks(
        person_id=person.pk,
        membership_ids=tuple(rows.values_list("pk", flat=True)),
        contractor_ids=tuple(rows.values_list("contractor_id", flat=True)),
        email=person.email,
        full_name=person.get_full_name(),
        username=person.username,
    )


def counts(marks: Marks) -> dict[str, int]:
    """Return how many rows of each kind name the person now; changes nothing."""
    found = {
        "keys": Token.objects.filter(membership_id__in=marks.membership_ids).count(),
        "second factors": SecondFactor.objects.filter(
            person_id=marks.person_id
        ).count(),
        "lines of the log about the person": Change.objects.using(log.OWNER)
        .filter(table="fleet_person", row_id=marks.person_id)
        .count(),
    }
    places = (*_with_address(marks), *_with_name(marks))
    return found | {what: rows.count() for what, rows, _ in places}


def erase(marks: Marks) -> None:
    """Take names, addresses, keys and factors away, in rows and in the log."""
    with log.opened(via=VIA) as cursor:
        SecondFactor.objects.using(log.OWNER).filter(person_id=marks.person_id).delete()
        tokens = Token.objects.using(log.OWNER).filter(
            membership_id__in=marks.membership_ids
        )
        token_ids = list(tokens.values_list("pk", flat=True))
        tokens.update(device=log.ERASED)
        Membership.objects.using(log.OWNER).filter(pk__in=marks.membership_ids).update(
            qualification="", competent_until=None, call_order=None
        )
        for _, rows, values in (*_with_address(marks), *_with_name(marks)):
            rows.update(**values)
        _blank_person(marks)
        _blank_log(cursor, marks, token_ids=token_ids)


def _blank_person(marks: Marks) -> None:
    Person.objects.using(log.OWNER).filter(pk=marks.person_id).update(
        username=marks.replacement,
        first_name="",
        last_name="",
        email="",
        # What Django takes for a password that nothing matches.
        password=f"!{marks.replacement}",
        is_active=False,
        is_staff=False,
        is_superuser=False,
        last_login=None,
        session_epoch=F("session_epoch") + 1,
    )
    LogEntry.objects.using(log.OWNER).filter(
        content_type__app_label="fleet",
        content_type__model="person",
        object_id=str(marks.person_id),
    ).update(object_repr=marks.replacement, change_message="")


def _blank_log(cursor: CursorWrapper, marks: Marks, *, token_ids: list[int]) -> None:
    """Put out names in the log, those just written down by the database included."""
    for table, ids, names in (
        ("fleet_person", [marks.person_id], NAMES),
        ("fleet_membership", marks.membership_ids, ("qualification",)),
        ("fleet_token", token_ids, ("device",)),
    ):
        log.hide_fields(cursor, table=table, ids=ids, names=names)
    for old, new in (
        (marks.email, marks.address),
        (marks.full_name, marks.replacement),
        (marks.username, marks.replacement),
    ):
        if old:
            log.replace_text(
                cursor, contractor_ids=marks.contractor_ids, old=old, new=new
            )


_Place = tuple[str, "QuerySet[Any]", dict[str, Any]]


def _with_address(marks: Marks) -> Sequence[_Place]:
    """Return where the address stands, and what takes its place."""
    if not marks.email:
        return ()
    found: list[_Place] = []
    for model in apps.get_models():
        for field in model._meta.concrete_fields:
            if model is Person or not _is_address(field):
                continue
            rows = _rows(model, marks)
            what = f"{model._meta.verbose_name_plural}: {field.name}"
            if isinstance(field, ArrayField):
                held = {f"{field.name}__contains": [marks.email]}
                swapped = Func(
                    F(field.name),
                    Cast(Value(marks.email), EmailField()),
                    Cast(Value(marks.address), EmailField()),
                    function="array_replace",
                )
                found.append((what, rows.filter(**held), {field.name: swapped}))
            else:
                same = rows.filter(**{f"{field.name}__iexact": marks.email})
                after = "" if field.blank else marks.address
                found.append((what, same, {field.name: after}))
    return found


def _is_address(field: "Field[Any, Any]") -> bool:
    inner = field.base_field if isinstance(field, ArrayField) else field
    return isinstance(inner, EmailField)


def _with_name(marks: Marks) -> Sequence[_Place]:
    """Return where the name is written out, by its membership or as it is spelt."""
    found: list[_Place] = []
    for label, (name, member) in settings.PEOPLE_NAMED_IN.items():
        model = apps.get_model(label)
        who = Q(**{f"{member}__in": marks.membership_ids})
        if marks.full_name:
            who |= Q(**{f"{name}__iexact": marks.full_name})
        rows = _rows(model, marks).filter(who).exclude(**{name: ""})
        what = f"{model._meta.verbose_name_plural}: {name}"
        found.append((what, rows, {name: marks.replacement}))
    return found


def _rows(model: Any, marks: Marks) -> "QuerySet[Any]":
    rows: QuerySet[Any] = model._base_manager.using(log.OWNER)
    return rows.filter(contractor_id__in=marks.contractor_ids)
