"""One visit: what was read at it, and its photos; and a photo put beside them."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.platform import naming
from fleet.platform.models import Membership
from fleet.platform.pages.forms import PageForm
from fleet.platform.visibility.acts import BRING_IN, READ, READ_AS_OFFICE, REPORT
from fleet.platform.visibility.asking import may
from inspections import photos
from inspections.models import Visit, VisitPhoto
from inspections.pages.base import VerdictForm, VerdictPage
from inspections.templatetags.shown import day

_MOST_READINGS = 500
_IN_ORDER = ("kind", "groove__number", "rope__number", "pk")
_LONGEST_CAPTION = 200


def visit_of(scope: Any, pk: int) -> Visit:
    """Return a visit within the scope. Raises Http404."""
    rows = Visit.objects.within(scope).select_related("machine__building__owner")
    found: Visit | None = rows.filter(pk=pk).first()
    if found is None:
        raise Http404
    return found


class VisitPage(VerdictPage):
    """What was read and seen at one visit."""

    template_name = "inspections/pages/visit.html"
    act = READ

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show readings in the order of their kinds, and every photo."""
        visit = visit_of(self.scope, pk)
        readings = visit.readings.within(self.scope).select_related(
            "groove", "rope", "gauge", "machine"
        )
        found = list(readings.order_by(*_IN_ORDER)[: _MOST_READINGS + 1])
        rows = VisitPhoto.objects.within(self.scope).filter(visit=visit)
        return self.answer(
            context={
                "visit": visit,
                "by": self._by(visit),
                "readings": found[:_MOST_READINGS],
                "more": len(found) > _MOST_READINGS,
                "photos": list(rows.order_by("pk")),
                "may_add": may(BRING_IN, scope=self.scope),
                "may_move": may(REPORT, scope=self.scope),
            }
        )

    def _by(self, visit: Visit) -> str:
        """Return who made it, for the office alone."""
        if not may(READ_AS_OFFICE, scope=self.scope):
            return ""
        rows = Membership.objects.within(self.scope).select_related("person")
        member = rows.filter(pk=visit.membership_id).first()
        if member is None:
            return ""
        return naming.called(member.person)


class PhotoForm(PageForm):
    """A picture, and what it shows."""

    file = forms.FileField(
        label=_("Photo"),
        max_length=200,
        widget=forms.FileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text=_("JPEG, PNG or WebP. Place and camera are taken out of it."),
    )
    caption = forms.CharField(
        label=_("What it shows"),
        max_length=_LONGEST_CAPTION,
        required=False,
        help_text=_("It is read out to those who cannot see the picture."),
    )

    def clean_caption(self) -> str:
        """Return the caption. Raises ValidationError for signs that do not print."""
        found: str = self.cleaned_data["caption"]
        if not found.isprintable():
            raise forms.ValidationError(gettext("Write it as one plain line."))
        return found


class AddPhoto(VerdictForm):
    """Put a photo beside a visit; the same photo again is the same photo."""

    act = BRING_IN
    form_class = PhotoForm
    heading = _("Add a photo")

    def row(self) -> Visit:
        return visit_of(self.scope, self.kwargs["pk"])

    def locked(self, row: Any) -> Any:
        """Return the row unheld: it is never changed."""
        return row

    def words(self, row: Visit) -> dict[str, Any]:
        return {
            "about": row.machine,
            "lead": gettext("{machine}, visit of {day}").format(
                machine=row.machine.code, day=day(row.visited_at)
            ),
            "back": reverse("visit", args=(row.pk,)),
            "button": gettext("Keep the photo"),
        }

    def do(self, form: Any, row: Visit) -> str:
        """Keep it by the activity that the API calls."""
        kept = photos.keep(
            scope=self.scope,
            visit_id=row.pk,
            content=form.cleaned_data["file"].read(),
            caption=form.cleaned_data["caption"],
        )
        said = (
            gettext("This photo was there already.")
            if kept.repeated
            else gettext("The photo is kept.")
        )
        messages.info(self.request, said)
        return f"{reverse('visit', args=(row.pk,))}#photos"
