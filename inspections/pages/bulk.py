"""Stops that rest on withdrawn rules: one person proposes, another confirms."""

from typing import Any

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from fleet.platform.pages.forms import PageForm
from fleet.register import people
from inspections.models import BulkRelease, Stop, WithdrawnKind
from inspections.pages.base import VerdictForm
from inspections.releases import bulk


class ProposeForm(PageForm):
    withdrawn_kind = forms.ChoiceField(
        label=_("What was withdrawn"),
        choices=[
            (WithdrawnKind.VERSION, _("a version of the rules")),
            (WithdrawnKind.CRITERIA_SET, _("a criteria set")),
        ],
    )
    withdrawn = forms.CharField(label=_("Its number or name"), max_length=60)
    why = forms.CharField(label=_("Why"), max_length=1000, widget=forms.Textarea)


class BulkReleases(VerdictForm):
    """Propose what ends; earlier proposals stand below."""

    form_class = ProposeForm
    template_name = "inspections/pages/bulk_releases.html"

    def words(self, row: Any) -> dict[str, Any]:
        rows = BulkRelease.objects.within(self.scope).order_by("-pk")[:50]
        return {"releases": list(rows)}

    def do(self, form: Any, row: Any) -> str:
        said = form.cleaned_data
        found = bulk.propose(
            scope=self.scope,
            kind=said["withdrawn_kind"],
            withdrawn=said["withdrawn"],
            why=said["why"],
            now=timezone.now(),
        )
        return reverse("bulk-release", args=(found.pk,))


class ConfirmForm(PageForm):
    sure = forms.BooleanField(
        label=_("I have looked at each of these stops"), required=True
    )


class ConfirmBulkRelease(VerdictForm):
    """Confirm a proposal as a second person; each stop is looked at again."""

    form_class = ConfirmForm
    template_name = "inspections/pages/bulk_release.html"

    def row(self) -> BulkRelease:
        rows = BulkRelease.objects.within(self.scope)
        found: BulkRelease | None = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def words(self, row: BulkRelease) -> dict[str, Any]:
        wanted = row.stops if row.confirmed_at is None else row.ended
        stops = Stop.objects.within(self.scope).filter(pk__in=wanted)
        by = {pk for pk in (row.proposed_by, row.confirmed_by) if pk}
        return {
            "release": row,
            "listed": list(
                stops.select_related("machine", "groove", "rope").order_by("pk")
            ),
            "names": people.names_of(scope=self.scope, ids=by),
        }

    def do(self, form: Any, row: BulkRelease) -> str:
        bulk.confirm(scope=self.scope, release_id=row.pk, now=timezone.now())
        return reverse("bulk-release", args=(row.pk,))
