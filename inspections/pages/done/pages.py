"""Work reported done, planned or not, with what was read as left."""

import hashlib
import uuid
from datetime import date
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Machine
from fleet.platform.pages.forms import DayField, PageForm, Refused
from fleet.platform.queue import tasks
from fleet.platform.visibility.acts import REPORT
from fleet.register.choices import WorkKind
from inspections import completion, page
from inspections.intake.accepting import ASSESS
from inspections.models import OPEN_STATES, PlannedWork
from inspections.pages import taken
from inspections.pages.base import VerdictForm
from inspections.pages.done import parts, places
from inspections.planning import kinds
from inspections.releases import evidence
from inspections.templatetags.shown import work as named

_MOST_ROPES = 20


class DoneForm(PageForm):
    done_on = DayField(label=_("Done on"))
    read_at = forms.TimeField(
        label=_("Read as left at"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": _("Write the time like 16:30.")},
        help_text=_(
            "By the building's clock. Left empty: 17:00, or now where that is to come."
        ),
    )
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


class _Report(VerdictForm):
    """Report work with what it left; new ropes are laid as the ropes before them."""

    act = REPORT
    form_class = DoneForm
    template_name = "inspections/pages/report_done.html"

    def machine(self, row: Any) -> Machine:
        """Return the machine that was worked on."""
        raise NotImplementedError

    def reported(self, row: Any) -> str:
        """Return the kind of work."""
        raise NotImplementedError

    def initial(self, row: Any) -> dict[str, Any]:
        before = parts.as_before(self._before(row), self.reported(row))
        today = completion.periods.day_of(timezone.now(), machine=self.machine(row))
        return before | {"done_on": today}

    def form(self, row: Any, **given: Any) -> PageForm:
        reported = self.reported(row)
        form = self.form_class(preferences=self.preferences, **given)
        before = self._before(row)
        more = _more(before, given.get("data"))
        asked = (*parts.fields(reported), *places.fields(before, reported, more))
        for name, field in asked:
            if hasattr(field, "read_as"):
                field.read_as(self.preferences)
            form.fields[name] = field
        return form

    def complete(
        self, form: Any, row: Any, *, reference: str, planned_work: int | None = None
    ) -> None:
        """Store the report, and say at its field what of the readings was not taken."""
        machine, reported = self.machine(row), self.reported(row)
        before, said = self._before(row), form.cleaned_data
        asked = self._asked(form, before, reported)
        readings = list(places.readings(form, reference, asked))
        if readings and said["read_at"] is None:
            self._ask_the_hour(before, said["done_on"])
        left = {
            "reference": reference,
            "visited_at": places.moment(
                said["done_on"], said["read_at"], machine
            ).isoformat(),
            "readings": readings,
        }
        report = completion.WorkReport(
            kind=reported,
            done_on=said["done_on"],
            done_by=said["done_by"],
            note=said["note"],
            as_left=left if readings else None,
            planned_work=planned_work,
            **parts.told(before, reported, said),
        )
        done = completion.complete(
            scope=self.scope,
            machine_id=machine.pk,
            work=report,
            fingerprint=hashlib.sha256(f"{row.pk}{report}".encode()).hexdigest(),
            key=None,
            received_at=timezone.now(),
            most=settings.UPLOAD_MAX_READINGS,
        )
        if done.answer["as_left"]:
            sent = places.sent(form, asked)
            taken.refuse(form, done.answer["as_left"], names=sent)
            taken.tell(self.request, done.answer["as_left"])
        tasks.wake_after_commit(job_ids=done.job_ids, kind=ASSESS)

    def _asked(
        self, form: Any, before: page.Page, reported: str
    ) -> list[places.ReadingPlace]:
        """Return the places that can have been read, of the ropes that hang now.

        Raises Refused where one was read that is gone, or its field was not shown yet.
        """
        said, usual = form.cleaned_data, places.places(before, reported)
        if not said.get("nominal_diameter_mm") or parts.ROPES not in said:
            return usual
        now = _now(parts.laid(before, said))
        asked = places.places(before, reported, now)
        # Fields that the page had not shown when it was sent.
        if any(f"{p.name}_0" not in form.data for p in asked if p not in usual):
            raise Refused(
                gettext(
                    "Another number of ropes has other places to read. They stand "
                    "below now: fill in what was read, and send it again."
                ),
                field=parts.ROPES,
            )
        gone = [p for p in asked if places.is_gone(p, now)]
        for place in gone:
            if said.get(place.name) not in (None, ""):
                raise Refused(
                    gettext("By the number above this is there no more."),
                    field=place.name,
                )
        return [p for p in asked if p not in gone]

    def _ask_the_hour(self, before: page.Page, day: date) -> None:
        """Raise Refused where a stop was read on the day: before or after it, decides.

        Read as left before the defect was seen, nothing would be answered.
        """
        for stop in before.stops:
            if evidence.first_day_of_work(scope=self.scope, stop=stop) >= day:
                raise Refused(
                    gettext(
                        "A stop of this machine was read on that day: say at what hour "
                        "it was read as left."
                    ),
                    field="read_at",
                )

    def _before(self, row: Any) -> page.Page:
        return page.page(
            scope=self.scope, machine_id=self.machine(row).pk, as_of=timezone.now()
        )


def _more(before: page.Page, data: Any) -> places.RopesNow:
    """Return the ropes and grooves that were typed, as far as they can be read."""
    count = _number(data, parts.ROPES)
    if not 1 <= count <= _MOST_ROPES:
        return places.AS_BEFORE
    said = {parts.ROPES: count, "layout": data.get("layout", "")}
    try:
        return _now(parts.laid(before, said))
    except Refused:
        return places.AS_BEFORE


def _now(laid: dict[int, tuple[int, ...]]) -> places.RopesNow:
    grooves = tuple(number for own in laid.values() for number in own)
    return places.RopesNow(ropes=len(laid), grooves=grooves)


def _number(data: Any, name: str) -> int:
    text = (data or {}).get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 3 else 0


class ReportDone(_Report):
    """Report the work of a plan."""

    def row(self) -> PlannedWork:
        rows = PlannedWork.objects.within(self.scope)
        found: PlannedWork | None = (
            rows.select_related("machine__building__owner")
            .filter(pk=self.kwargs["pk"])
            .first()
        )
        if found is None or found.kind not in kinds.REPORTED_AS:
            raise Http404
        return found

    def machine(self, row: PlannedWork) -> Machine:
        machine: Machine = row.machine
        return machine

    def reported(self, row: PlannedWork) -> str:
        return str(kinds.REPORTED_AS[row.kind])

    def words(self, row: PlannedWork) -> dict[str, Any]:
        return {
            "heading": gettext("Report done: {work}").format(work=named(row.kind)),
            "about": row.machine,
            "back": reverse("planned-work", args=(row.pk,)),
        }

    def do(self, form: Any, row: PlannedWork) -> str:
        self.complete(form, row, reference=f"left-{row.pk}", planned_work=row.pk)
        return reverse("planned-work", args=(row.pk,))


class ReportWork(_Report):
    """Report work that nobody had planned, such as a repair at once.

    The address names its kind; without one the kinds are shown, and the plans that the
    work may close instead.
    """

    def row(self) -> Machine:
        rows = Machine.objects.within(self.scope).filter(retired_on=None)
        found: Machine | None = (
            rows.select_related("building__owner").filter(pk=self.kwargs["pk"]).first()
        )
        if found is None:
            raise Http404
        return found

    def machine(self, row: Machine) -> Machine:
        return row

    def reported(self, row: Machine) -> str:
        return self.request.GET.get("kind", "")

    def get(self, request: HttpRequest, **more: Any) -> HttpResponse:
        """Show the form of a kind of work, or the kinds."""
        row = self.row()
        if self.reported(row) in WorkKind.values:
            return super().get(request, **more)
        planned = PlannedWork.objects.within(self.scope).filter(
            machine=row, state__in=OPEN_STATES, kind__in=list(kinds.REPORTED_AS)
        )
        return self.answer(
            "inspections/pages/choose_work.html",
            {
                "about": row,
                "planned": list(planned.order_by("pk")),
                "kinds": WorkKind.choices,
            },
        )

    def post(self, request: HttpRequest, **more: Any) -> HttpResponse:
        """Store the report of a kind of work."""
        if self.reported(self.row()) not in WorkKind.values:
            raise Http404
        return super().post(request, **more)

    def words(self, row: Machine) -> dict[str, Any]:
        kind = WorkKind(self.reported(row)).label
        return {
            "heading": gettext("Report work done: {work}").format(work=kind),
            "about": row,
            "back": reverse("machine", args=(row.pk,)),
        }

    def do(self, form: Any, row: Machine) -> str:
        reference = f"left-{self.reported(row).lower()}-{uuid.uuid4().hex[:12]}"
        self.complete(form, row, reference=reference)
        messages.info(
            self.request,
            gettext("The work is stored. The machine is judged anew with it."),
        )
        return reverse("machine", args=(row.pk,))
