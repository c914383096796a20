"""The first readings: what the worklist asks for, by the one door for readings."""

import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.conf import settings
from django.contrib import messages
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.platform.database.tenancy import Scope
from fleet.platform.pages.forms import (
    DayField,
    NumberField,
    PageForm,
    QuantityField,
    Refused,
    marks,
    numbers,
)
from fleet.platform.queue import tasks as queue
from inspections import intake, tasks, wording, worklist
from inspections.assessment import at_once
from inspections.intake.accepting import ASSESS
from inspections.kinds import KINDS, Kind
from inspections.models import VisitKind
from inspections.pages import taken
from inspections.pages.setting_up.step import StepPage
from inspections.worklist.listed import ListedReading

_ALL_MINUTES = 600
_WITHOUT_UNIT = ("count", "hardness", "ratio")


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldGroup:
    """Readings that are taken in one go, as fields of the form."""

    words: str
    fields: list[Any]


class ReadingsForm(PageForm):
    """A day, and a field for each reading that is due."""

    visited_on = DayField(label=gettext_lazy("Read on"))

    def __init__(self, *arguments: Any, groups: Any, **options: Any) -> None:
        self.items: dict[str, ListedReading] = {}
        self.groups: list[tuple[str, list[str]]] = []
        more: dict[str, forms.Field] = {}
        for words, items in groups:
            names = []
            for item in items:
                name = _name(item)
                self.items[name] = item
                more[name] = _field(item)
                names.append(name)
            self.groups.append((words, names))
        super().__init__(*arguments, more=more, **options)

    def grouped(self) -> Iterator[FieldGroup]:
        """Yield the fields as they are taken, step by step."""
        for words, names in self.groups:
            yield FieldGroup(words=words, fields=[self[name] for name in names])


class ReadingsStep(StepPage):
    """The last step: what was read at the first visit."""

    step = "set-up-readings"
    form_class = ReadingsForm
    heading = gettext_lazy("First readings")
    template_name = "inspections/pages/first_readings.html"

    def form(self, row: Any, **given: Any) -> PageForm:
        """Return a field for each reading that the worklist of the machine asks for."""
        found = worklist.worklist(
            scope=self.scope,
            machine_id=row.pk,
            visit=VisitKind.ROUTINE,
            minutes=_ALL_MINUTES,
            as_of=timezone.now(),
        )
        groups = [
            (wording.name(step.said), step.items)
            for step in (*found.steps, *found.left_out)
        ]
        return ReadingsForm(preferences=self.preferences, groups=groups, **given)

    def initial(self, row: Any) -> dict[str, Any]:
        """Return today, by the building's clock."""
        zone = ZoneInfo(row.building.time_zone)
        return {"visited_on": timezone.localdate(timezone=zone)}

    def locked(self, row: Any) -> Any:
        """Return the row unheld: readings change nothing of the register."""
        return row

    def do(self, form: Any, row: Any) -> str:
        """Bring in what was filled in; all of it, or nothing."""
        readings = list(_readings(form, language=self.preferences.language))
        if readings:
            self._bring_in(form, row, [reading for _, reading in readings], readings)
        if "later" in self.request.POST:
            messages.info(self.request, gettext("Kept. You can go on at any time."))
        tasks.assess_now(
            scope=Scope(contractor_id=self.scope.contractor_id), machine_ids=[row.pk]
        )
        return reverse("machine", args=(row.pk,))

    def _bring_in(self, form: Any, row: Any, sent: Any, named: Any) -> None:
        mark = marks.read(self.request.POST[marks.FIELD])
        assert mark is not None
        now = timezone.now()
        visited_at = _moment(form.cleaned_data["visited_on"], row, now)
        for number, reading in enumerate(sent):
            reading["reference"] = f"{mark.reference.hex}-{number}"
        body = {
            "visits": [
                {
                    "reference": mark.reference.hex,
                    "machine": row.code,
                    "visited_at": visited_at.isoformat(),
                    "readings": sent,
                }
            ]
        }
        accepted = intake.accept(
            scope=self.scope,
            body=body,
            fingerprint=hashlib.sha256(repr(body).encode()).hexdigest(),
            key=mark.reference.hex,
            received_at=now,
            most=settings.UPLOAD_MAX_READINGS,
            judged=at_once.stopping,
        )
        self._refuse(form, accepted.answer, [name for name, _ in named])
        queue.wake_after_commit(job_ids=accepted.job_ids, kind=ASSESS)
        taken.tell(self.request, accepted.answer)

    def _refuse(self, form: Any, answer: Any, names: list[str]) -> None:
        """Raise if the visit or a reading of it was not taken."""
        for visit in answer["visits"]:
            if visit["outcome"] in taken.NOT_TAKEN:
                said = visit.get("problem", {}).get("detail", "")
                words = gettext(said) if said else gettext("The visit is not taken.")
                raise Refused(words)
        taken.refuse(form, answer, names=names)


def _readings(
    form: ReadingsForm, *, language: str
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield what was filled in, as typed and with the unit it was read in."""
    typed = form.typed()
    for name, item in form.items.items():
        if form.cleaned_data.get(name) in (None, ""):
            continue
        kind = KINDS[item.kind]
        texts = typed[name]
        reading: dict[str, Any] = {"kind": kind.code, "value": texts[0]}
        if not kind.is_worded:
            reading["value"] = numbers.plain(texts[0], language=language)
            reading["unit"] = texts[1] if len(texts) > 1 else item.unit
        if item.number is not None:
            reading[item.subject] = item.number
        if item.place:
            reading["place"] = dict(item.place)
        yield name, reading


def _name(item: ListedReading) -> str:
    """Return a name by what is read and where, alike whenever the form is made."""
    said = f"{item.kind} {item.number or ''} {sorted(item.place.items())}"
    return "r_" + re.sub(r"[^a-z0-9]+", "_", said.lower()).strip("_")


def _field(item: ListedReading) -> forms.Field:
    kind = KINDS[item.kind]
    options: dict[str, Any] = {"label": _label(kind, item), "required": False}
    if kind.is_worded:
        words = [(w, gettext(w.replace("_", " ").lower())) for w in kind.words]
        return forms.ChoiceField(
            choices=[("", gettext("not looked at")), *words], **options
        )
    if kind.quantity in _WITHOUT_UNIT:
        return NumberField(whole=kind.quantity == "count", **options)
    return QuantityField(quantity=kind.quantity, **options)


def _label(kind: Kind, item: ListedReading) -> str:
    parts = [gettext(kind.name)]
    if item.number is not None:
        name = "groove {number}" if item.subject == "groove" else "rope {number}"
        parts.append(gettext(name).format(number=item.number))
    parts += [gettext(str(value)) for value in item.place.values()]
    return ", ".join(parts)


def _moment(day: date, row: Any, now: datetime) -> datetime:
    """Return when it was read: noon there, or now where noon is still to come."""
    zone = ZoneInfo(row.building.time_zone)
    return min(datetime.combine(day, time(12), tzinfo=zone), now)
