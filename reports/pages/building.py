"""A building as its owner sees it: each lift, what was found, what must be decided."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Building, Machine
from fleet.platform.database.tenancy import Scope
from fleet.platform.pages.forms import PageForm
from fleet.platform.visibility import asking
from fleet.platform.visibility.acts import ANSWER, CHANGE
from fleet.register import people
from fleet.register.people import calling
from inspections import overview, queries
from inspections.models import DueWork, Finding, Grade, OwnerAnswer, Said
from inspections.overview import MachineLine, Wish
from inspections.pages.base import VerdictForm, VerdictPage
from inspections.planning import answering
from inspections.planning import kinds as works
from reports import content
from reports.content import serial
from reports.models import Report, ReportKind, ReportState

_MOST_REPORTS = 24
# Lifts whose state stands in the list of buildings, the most urgent first.
_MOST_LIFTS = 500
_FOUND = (Grade.ACT_NOW, Grade.PLAN_WORK)


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedMatter:
    """Work to be decided: its days, what the last report said of it, the answer."""

    line: DueWork
    told: Sequence[content.Decision]
    answer: OwnerAnswer | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """A machine of the building, in words for whoever owns it."""

    line: MachineLine
    findings: Sequence[Finding]
    checks: Mapping[str, Any]
    matters: Sequence[AskedMatter]


class Buildings(VerdictPage):
    """The buildings that a reader may see."""

    template_name = "reports/pages/buildings.html"

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show them with each lift's state; those with one out of service first."""
        today = timezone.localdate()
        groups = overview.by_building(scope=self.scope, today=today)
        found = overview.chunks(
            scope=self.scope, wish=Wish(), today=today, most=_MOST_LIFTS
        )
        lines: dict[int, list[MachineLine]] = {}
        for line in (line for each in found for line in each):
            lines.setdefault(line.machine.building_id, []).append(line)
        # Of all machines, those too that are left out of the lines above.
        ids = queries.active_machines(scope=self.scope).values_list("pk", flat=True)
        to_decide: dict[int, list[DueWork]] = {}
        for work in answering.to_decide(scope=self.scope, machine_ids=ids):
            to_decide.setdefault(work.building_id, []).append(work)
        return self.answer(
            context={
                "buildings": [
                    (group, lines.get(group.pk, []), to_decide.get(group.pk, []))
                    for group in groups
                ],
                "stopped": sum(group.stopped for group in groups),
                "to_decide": sum(len(own) for own in to_decide.values()),
                "may_answer": asking.may(ANSWER, scope=self.scope),
            }
        )


class BuildingPage(VerdictPage):
    """One building on one page."""

    template_name = "reports/pages/building.html"

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show it as far as the contractor knows and has told."""
        rows = Building.objects.within(self.scope).select_related("owner")
        building = rows.filter(pk=pk).first()
        if building is None:
            raise Http404
        issued = list(_issued(self.scope, building.pk)[:_MOST_REPORTS])
        lifts = self._lifts(building, issued[0] if issued else None)
        answers = [m.answer for lift in lifts for m in lift.matters if m.answer]
        by = {answer.membership_id for answer in answers}
        return self.answer(
            context={
                "building": building,
                "lifts": lifts,
                "reports": issued,
                "names": people.names_of(scope=self.scope, ids=by),
                "calls": calling.to_call(scope=self.scope, owner=building.owner),
                "may_answer": asking.may(ANSWER, scope=self.scope),
                "may_change": asking.may(CHANGE, scope=self.scope),
            }
        )

    def _lifts(self, building: Building, report: Report | None) -> list[Lift]:
        today = timezone.localdate()
        found = overview.chunks(
            scope=self.scope, wish=Wish(building=building.pk), today=today, most=200
        )
        lines = [line for each in found for line in each]
        ids = [line.machine.pk for line in lines]
        findings = self._findings(ids)
        checks = {
            row.machine_id: row.checks or {}
            for row in queries.latest_assessments(scope=self.scope).filter(
                machine__in=ids
            )
        }
        matters = self._matters(ids, _told(report))
        return [
            Lift(
                line=line,
                findings=findings.get(line.machine.pk, []),
                checks=checks.get(line.machine.pk, {}),
                matters=matters.get(line.machine.pk, []),
            )
            for line in lines
        ]

    def _findings(self, ids: list[int]) -> dict[int, list[Finding]]:
        rows = queries.current_findings(scope=self.scope).filter(
            machine__in=ids, grade__in=_FOUND
        )
        found: dict[int, list[Finding]] = {}
        for row in sorted(rows, key=lambda each: (_FOUND.index(each.grade), each.pk)):
            found.setdefault(row.machine_id, []).append(row)
        return found

    def _matters(
        self, ids: list[int], told: Mapping[str, list[content.Decision]]
    ) -> dict[int, list[AskedMatter]]:
        answers = (
            answering.latest(scope=self.scope, machine_ids=ids)
            if asking.sees(OwnerAnswer, scope=self.scope)
            else {}
        )
        found: dict[int, list[AskedMatter]] = {}
        for line in answering.to_decide(scope=self.scope, machine_ids=ids):
            own = found.setdefault(line.machine_id, [])
            own.append(
                AskedMatter(
                    line=line,
                    # A report speaks of a machine's matters together.
                    told=[] if own else told.get(line.machine.code, []),
                    answer=answers.get((line.machine_id, line.kind)),
                )
            )
        return found


def _issued(scope: Scope, building_id: int) -> QuerySet[Report]:
    """Return the building's condition reports that were issued, the newest first."""
    rows = Report.objects.within(scope).filter(
        building=building_id,
        kind=ReportKind.CONDITION_REPORT,
        state=ReportState.PUBLISHED,
    )
    # What the newest one says is read of that one alone.
    found: QuerySet[Report] = rows.defer("content").order_by("-period_end", "-pk")
    return found


def _told(report: Report | None) -> dict[str, list[content.Decision]]:
    """Return what the last issued report said is to be decided, by machine."""
    if report is None:
        return {}
    try:
        document = serial.from_plain(report.content)
    except content.ContentUnreadable:
        return {}
    found: dict[str, list[content.Decision]] = {}
    if isinstance(document, content.ConditionReport):
        for decision in document.summary.decisions:
            found.setdefault(decision.machine, []).append(decision)
    return found


class AnswerForm(PageForm):
    answer = forms.ChoiceField(
        label=_("Your answer"),
        widget=forms.RadioSelect,
        choices=[
            (Said.AGREE, _("I agree")),
            (Said.NOT_NOW, _("Not now")),
            (Said.CALL_ME, _("Call me")),
        ],
    )
    words = forms.CharField(
        label=_("What you want to say to it"),
        required=False,
        max_length=500,
        widget=forms.Textarea,
    )


class AnswerPage(VerdictForm):
    """The owner answers a matter to be decided; it is no order and says so."""

    act = ANSWER
    form_class = AnswerForm
    template_name = "reports/pages/answer.html"

    def words(self, row: Any) -> dict[str, Any]:
        machine, kind = self._matter()
        return {
            "machine": machine,
            "kind": kind,
            "calls": calling.to_call(scope=self.scope),
            "told": _told(_issued(self.scope, machine.building_id).first()).get(
                machine.code, []
            ),
            "lines": [
                line
                for line in answering.to_decide(
                    scope=self.scope, machine_ids=[machine.pk]
                )
                if line.kind == kind
            ],
        }

    def do(self, form: Any, row: Any) -> str:
        machine, kind = self._matter()
        answering.answer(
            scope=self.scope,
            machine_id=machine.pk,
            kind=kind,
            said=form.cleaned_data["answer"],
            words=form.cleaned_data["words"],
            now=timezone.now(),
        )
        messages.info(
            self.request, gettext("Kept with your name and the day. It is no order.")
        )
        return reverse("estate-building", args=(machine.building_id,))

    def _matter(self) -> tuple[Machine, str]:
        rows = Machine.objects.within(self.scope).select_related("building")
        machine: Machine | None = rows.filter(pk=self.kwargs["pk"]).first()
        kind = self.request.GET.get("work", "")
        if machine is None:
            raise Http404
        return machine, kind if kind in works.WORDS else ""


class SeeAnswer(VerdictPage):
    """The office says to have seen an owner's answer."""

    act = CHANGE
    http_method_names = ["post"]

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Note it and lead back to Today; a second time changes nothing."""
        answering.see(scope=self.scope, answer_id=pk, now=timezone.now())
        return HttpResponseRedirect(reverse("today"))
