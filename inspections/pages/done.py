"""Planned work reported done, with what was read as left."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.conf import settings
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import SheaveGeometry
from fleet.platform.pages.forms import DayField, PageForm, QuantityField, Refused
from fleet.platform.pages.forms.numbers import plain
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import REPORT
from fleet.register.choices import WorkKind
from inspections import completion, page
from inspections.intake.accepting import ASSESS
from inspections.kinds import KINDS, Subject
from inspections.models import PlannedWork
from inspections.pages import taken
from inspections.pages.base import VerdictForm
from inspections.planning import kinds
from inspections.templatetags.shown import kind as kind_named
from inspections.templatetags.shown import work as named

# What is read as left, by kind of work; each at every place that there is.
_READ: dict[str, tuple[str, ...]] = {
    WorkKind.ROPING: ("rope_diameter",),
    WorkKind.REGROOVING: ("rope_diameter", "rope_crown_height"),
    WorkKind.SHORTENING: ("cwt_runby",),
    WorkKind.EQUALISING: ("rope_tension",),
    WorkKind.LUBRICATION: (),
}
# Tension is read on the car's side with the car at the bottom, as on the field sheet.
_WHERE = {"rope_tension": {"side": "car", "car_position": "bottom"}}
_NEW_ROPES = (WorkKind.ROPING, WorkKind.REGROOVING)
_END_OF_WORK = time(17, 0)


@dataclass(frozen=True, slots=True)
class _Place:
    """A reading that is asked for; `number` of a groove or rope, None of a machine."""

    kind: str
    number: int | None

    @property
    def name(self) -> str:
        return f"left_{self.kind}_{self.number or 0}"


class DoneForm(PageForm):
    done_on = DayField(label=_("Done on"))
    done_by = forms.CharField(
        label=_("Done by"),
        required=False,
        max_length=200,
        help_text=_(
            "A firm or crew. Left empty it is you, who cannot accept it later."
        ),
    )
    note = forms.CharField(
        label=_("Note"), required=False, max_length=2000, widget=forms.Textarea
    )


class ReportDone(VerdictForm):
    """Report the work of a plan; new ropes are laid as the ropes before them."""

    act = REPORT
    form_class = DoneForm
    template_name = "inspections/pages/report_done.html"

    def row(self) -> PlannedWork:
        rows = PlannedWork.objects.within(self.scope)
        found: PlannedWork | None = (
            rows.select_related("machine__building")
            .filter(pk=self.kwargs["pk"])
            .first()
        )
        if found is None or found.kind not in kinds.REPORTED_AS:
            raise Http404
        return found

    def initial(self, row: PlannedWork) -> dict[str, Any]:
        return _as_before(self._before(row)) | {"done_on": timezone.localdate()}

    def words(self, row: PlannedWork) -> dict[str, Any]:
        return {
            "heading": gettext("Report done: {work}").format(work=named(row.kind)),
            "about": row.machine,
            "is_taken": kinds.REPORTED_AS[row.kind] in _READ,
            "back": reverse("planned-work", args=(row.pk,)),
        }

    def form(self, row: PlannedWork, **given: Any) -> PageForm:
        before, reported = self._before(row), kinds.REPORTED_AS[row.kind]
        form = self.form_class(preferences=self.preferences, **given)
        for name, field in _fields(before, reported):
            if hasattr(field, "read_as"):
                field.read_as(self.preferences)
            form.fields[name] = field
        return form

    def do(self, form: Any, row: PlannedWork) -> str:
        reported = kinds.REPORTED_AS[row.kind]
        if reported not in _READ:
            raise Refused(gettext("This kind of work is reported over the API."))
        before, said = self._before(row), form.cleaned_data
        report = completion.WorkReport(
            kind=reported,
            done_on=said["done_on"],
            done_by=said["done_by"],
            note=said["note"],
            rope_set=_rope_set(before, said) if reported in _NEW_ROPES else None,
            geometry=_geometry(before, said)
            if reported == WorkKind.REGROOVING
            else None,
            as_left=self._as_left(form, row, _places(before, reported)),
            planned_work=row.pk,
        )
        done = completion.complete(
            scope=self.scope,
            machine_id=row.machine_id,
            work=report,
            fingerprint=hashlib.sha256(f"{row.pk}{report}".encode()).hexdigest(),
            key=None,
            received_at=timezone.now(),
            most=settings.UPLOAD_MAX_READINGS,
        )
        if done.answer["as_left"]:
            taken.refuse(
                form, done.answer["as_left"], names=_sent(form, before, reported)
            )
            taken.tell(self.request, done.answer["as_left"])
        tasks.wake_after_commit(job_ids=done.job_ids, kind=ASSESS)
        return reverse("planned-work", args=(row.pk,))

    def _before(self, row: PlannedWork) -> page.Page:
        return page.page(
            scope=self.scope, machine_id=row.machine_id, as_of=timezone.now()
        )

    def _as_left(
        self, form: Any, row: PlannedWork, places: Sequence[_Place]
    ) -> dict[str, Any] | None:
        readings = list(_readings(form, row, places))
        if not readings:
            return None
        at = _moment(form.cleaned_data["done_on"], row)
        return {
            "reference": f"left-{row.pk}",
            "visited_at": at.isoformat(),
            "readings": readings,
        }


def _sent(form: Any, before: page.Page, reported: str) -> list[str]:
    """Return the fields of the readings, in the order in which they were sent."""
    places = _places(before, reported)
    return [p.name for p in places if form.cleaned_data.get(p.name) is not None]


def _places(before: page.Page, reported: str) -> list[_Place]:
    """Return what is read as left: at each rope, each groove with one, or once."""
    ropes = [rope.number for rope in before.ropes]
    numbers = {
        Subject.ROPE: ropes,
        Subject.GROOVE: sorted(
            groove.number for groove in before.grooves if groove.pk in _laid(before)
        ),
    }
    return [
        _Place(kind=kind, number=number)
        for kind in _READ.get(reported, ())
        for number in numbers.get(KINDS[kind].subject, [None])
    ]


def _laid(before: page.Page) -> set[int]:
    return {seat.groove_id for rope in before.ropes for seat in rope.seats.all()}


def _fields(before: page.Page, reported: str) -> Iterator[tuple[str, forms.Field]]:
    if reported == WorkKind.REGROOVING:
        yield from _geometry_fields()
    if reported in _NEW_ROPES:
        yield (
            "nominal_diameter_mm",
            QuantityField(
                quantity="length",
                label=_("Nominal diameter of the new ropes"),
                required=reported == WorkKind.ROPING,
                help_text=_("As many ropes as before, in the same grooves.")
                if reported == WorkKind.ROPING
                else _("Left empty where the old ropes were laid again."),
            ),
        )
        yield (
            "certificate",
            forms.CharField(
                label=_("Certificate of the ropes"), required=False, max_length=100
            ),
        )
    for place in _places(before, reported):
        label = kind_named(place.kind)
        if place.number is not None:
            part = (
                _("rope {number}")
                if KINDS[place.kind].subject is Subject.ROPE
                else _("groove {number}")
            )
            label = f"{label}, {str(part).format(number=place.number)}"
        yield (
            place.name,
            QuantityField(
                quantity=KINDS[place.kind].quantity, label=label, required=False
            ),
        )


def _geometry_fields() -> Iterator[tuple[str, forms.Field]]:
    for name, label, quantity in (
        ("pitch_diameter_mm", _("Pitch diameter as cut"), "length"),
        ("seat_radius_mm", _("Seat radius as cut"), "length"),
        ("hardened_depth_mm", _("Hardened layer left (0 for none)"), "length"),
    ):
        yield name, QuantityField(quantity=quantity, label=label, required=False)


def _as_before(before: page.Page) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if before.rope_set is not None:
        found["nominal_diameter_mm"] = before.rope_set.nominal_diameter_mm
    if before.geometry is not None:
        found["seat_radius_mm"] = before.geometry.seat_radius_mm
    return found


_SAME_ROPES = ("suspension", "strand_class", "core", "outer_grade_mpa")
_NOT_COPIED = ("id", "contractor", "version", "created_at", "sheave", "valid_from")


def _rope_set(before: page.Page, said: dict[str, Any]) -> dict[str, Any] | None:
    """Return the new set: of the kind that hung there, unless a certificate differs."""
    old = before.rope_set
    if said.get("nominal_diameter_mm") is None:
        return None
    if old is None:
        raise Refused(
            gettext("No ropes are registered here. Register the ropes first.")
        )
    return {
        **{name: getattr(old, name) for name in _SAME_ROPES},
        "nominal_diameter_mm": said["nominal_diameter_mm"],
        "certificate": said.get("certificate", ""),
        "ropes": [
            {
                "number": rope.number,
                "grooves": [
                    seat.groove.number
                    for seat in sorted(
                        rope.seats.all(), key=lambda each: each.pass_number
                    )
                ],
            }
            for rope in sorted(before.ropes, key=lambda each: each.number)
        ],
    }


def _geometry(before: page.Page, said: dict[str, Any]) -> dict[str, Any]:
    """Return the grooves as cut: the form as before, and what was measured anew."""
    old = before.geometry
    if old is None:
        raise Refused(
            gettext("No grooves are registered here. Register the grooves first.")
        )
    names = (
        field.name
        for field in SheaveGeometry._meta.concrete_fields
        if field.name not in _NOT_COPIED
    )
    same = {name: getattr(old, name) for name in names}
    # What the cut took away is measured, or not known; it is never what it was.
    measured = ("pitch_diameter_mm", "seat_radius_mm", "hardened_depth_mm")
    gone = {"bottom_clearance_new_mm": None, "hardness_hb": None}
    return same | gone | {name: said.get(name) for name in measured}


def _readings(
    form: Any, row: PlannedWork, places: Sequence[_Place]
) -> Iterator[dict[str, Any]]:
    """Yield the readings as they were typed, in the unit they were typed in."""
    for place in places:
        if form.cleaned_data.get(place.name) is None:
            continue
        typed = form.data.get(f"{place.name}_0", "")
        found: dict[str, Any] = {
            "reference": f"left-{row.pk}-{place.kind}-{place.number or 0}",
            "kind": place.kind,
            "value": plain(typed, language=form.preferences.language),
            "unit": form.data.get(f"{place.name}_1", ""),
        }
        if place.number is not None:
            found[str(KINDS[place.kind].subject).lower()] = place.number
        if place.kind in _WHERE:
            found["place"] = _WHERE[place.kind]
        yield found


def _moment(day: date, row: PlannedWork) -> datetime:
    """Return when it was read as left: the end of the working day, or now on today."""
    zone = ZoneInfo(row.machine.building.time_zone)
    return min(datetime.combine(day, _END_OF_WORK, tzinfo=zone), timezone.now())
