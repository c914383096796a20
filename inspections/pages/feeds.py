"""Secret addresses of calendars: which there are, made, ended."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.models import Owner
from fleet.platform.pages import PageView
from fleet.platform.pages.forms import PageForm, ShownOnce
from fleet.platform.visibility.acts import CHANGE, READ_AS_OFFICE
from inspections.models import CalendarFeed
from inspections.planning import feeds

_MOST = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRow:
    """An address, and whether it still shows anything."""

    row: CalendarFeed
    is_open: bool


class FeedsPage(PageView):
    """The addresses that were given, the newest first; none of their secrets."""

    template_name = "inspections/pages/feeds.html"
    act = READ_AS_OFFICE

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show whose work each shows, and whether it is still open."""
        rows = CalendarFeed.objects.within(self.scope).select_related("owner")
        found = list(rows.order_by("-pk")[: _MOST + 1])
        return self.answer(
            context={
                "feeds": [
                    FeedRow(row=row, is_open=feeds.is_open(row))
                    for row in found[:_MOST]
                ],
                "more": len(found) > _MOST,
            }
        )


class FeedForm(PageForm):
    """Who gets the address, and whose work it shows."""

    name = forms.CharField(
        label=_("Name"),
        max_length=100,
        help_text=_("Who gets it; it stands above the calendar."),
    )
    owner = forms.ModelChoiceField(
        label=_("Only work on the buildings of"),
        queryset=Owner.objects.none(),
        required=False,
        help_text=_("Left empty it shows all planned work, with the office's notes."),
    )


class NewFeed(ShownOnce):
    """Make an address; whoever has it reads without logging in."""

    confirms = True
    form_class = FeedForm
    heading = _("Address of a calendar")
    shown_template = "inspections/pages/feed_made.html"

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer the owners that are looked after."""
        form = super().form(row, **given)
        fields: dict[str, Any] = form.fields
        owners = Owner.objects.within(self.scope).filter(retired_on=None)
        fields["owner"].queryset = owners.order_by("name")
        return form

    def words(self, row: Any) -> dict[str, Any]:
        """Return what an address is."""
        return {
            "lead": gettext(
                "A calendar program reads planned work from an address, with a "
                "password of its own, twice a day. Whoever has both reads it without "
                "logging in, until it is ended, its maker leaves the office, or its "
                "owner is retired."
            ),
            "back": reverse("feeds"),
            "button": gettext("Make the address"),
        }

    def do(self, form: Any, row: Any) -> str:
        """Make it by the activity that the API calls."""
        owner = form.cleaned_data["owner"]
        feed, given = feeds.issue(
            scope=self.scope,
            name=form.cleaned_data["name"],
            owner_id=owner.pk if owner else None,
        )
        plain, secret = map(self.request.build_absolute_uri, given.paths)
        self.made = {"feed": feed, "given": given, "plain": plain, "secret": secret}
        return reverse("feeds")


class EndFeed(PageView):
    """End an address; whoever has it reads nothing any more."""

    act = CHANGE
    http_method_names = ["post"]

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """End it; a second time changes nothing."""
        row = CalendarFeed.objects.within(self.scope).filter(pk=pk).first()
        if row is None:
            raise Http404
        feeds.revoke(scope=self.scope, feed=row, now=timezone.now())
        messages.info(request, gettext("The address of “%s” is ended.") % row.name)
        return HttpResponseRedirect(reverse("feeds"))
