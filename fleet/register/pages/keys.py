"""Keys of devices: made for one of the contractor's people, replaced, ended."""

from datetime import timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, gettext_lazy

from fleet.platform import security_log
from fleet.platform.access import sessions, tokens
from fleet.platform.choices import TokenScope
from fleet.platform.models import Membership, Token
from fleet.platform.pages import PageView
from fleet.platform.pages.forms import NumberField, PageForm, ShownOnce
from fleet.platform.pages.forms.asking import OnlySent
from fleet.platform.visibility.acts import CHANGE
from fleet.register.pages.people import named


class KeyForm(PageForm):
    """Which device, and what its key is good for."""

    device = forms.CharField(
        label=gettext_lazy("Device"),
        max_length=100,
        help_text=gettext_lazy("So that it can be told when it is lost."),
    )
    scopes = forms.MultipleChoiceField(
        label=gettext_lazy("What the key is good for"),
        choices=TokenScope.choices,
        widget=forms.CheckboxSelectMultiple,
    )
    days = NumberField(
        label=gettext_lazy("Good for how many days"),
        whole=True,
        least=1,
        most=tokens.LIFETIME.days,
    )


class _Key(ShownOnce):
    """A page that makes a key."""

    act = CHANGE
    confirms = True
    shown_template = "register/pages/key_made.html"

    def show_key(self, token: Token, key: str) -> str:
        """Have the key shown, and return what comes next."""
        security_log.tell("key-issued", new=token.pk, membership=token.membership_id)
        self.made = {"token": token, "key": key}
        return reverse("people")


class NewKey(_Key):
    """A key for a device of somebody, who need not be there."""

    form_class = KeyForm
    heading = gettext_lazy("A key for a device")

    def row(self) -> Any:
        """Return the person's membership."""
        rows = Membership.objects.within(self.scope).select_related("person")
        found = rows.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise Http404
        return found

    def form(self, row: Any, **given: Any) -> PageForm:
        """Offer what a key of the person's role may be good for."""
        form = super().form(row, **given)
        fields: dict[str, Any] = form.fields
        may = tokens.SCOPES_OF[row.role]
        fields["scopes"].choices = [c for c in TokenScope.choices if c[0] in may]
        return form

    def initial(self, row: Any) -> dict[str, Any]:
        """Return a year, and a telephone that uploads and reads."""
        usual = {TokenScope.UPLOAD, TokenScope.READ} & tokens.SCOPES_OF[row.role]
        return {"days": tokens.LIFETIME.days, "scopes": sorted(usual)}

    def words(self, row: Any) -> dict[str, Any]:
        """Return whose device it is."""
        said = gettext("For %(name)s. The key is shown once; only its digest is kept.")
        return {
            "lead": said % {"name": named(row.person)},
            "back": reverse("people"),
            "button": gettext("Make the key"),
        }

    def do(self, form: Any, row: Any) -> str:
        """Issue it by the activity that the API calls."""
        given = form.cleaned_data
        token, key = tokens.issue_row(
            membership=row,
            device=given["device"],
            scopes=sorted(set(given["scopes"])),
            issued_at=timezone.now(),
            lifetime=timedelta(days=given["days"]),
            with_factor=sessions.has_shown_factor(self.request),
        )
        return self.show_key(token, key)


class ReplaceKey(_Key):
    """Another key for the same device; the old one works an hour longer."""

    form_class = OnlySent
    heading = gettext_lazy("Another key for the same device")

    def row(self) -> Any:
        """Return the key's row."""
        return self._marked(Token.objects.within(self.scope))

    def locked(self, row: Any) -> Any:
        """Return it held until the end of the request."""
        rows = Token.objects.within(self.scope).select_for_update(of=("self",))
        return self._marked(rows)

    def words(self, row: Any) -> dict[str, Any]:
        """Return which device it is."""
        said = gettext(
            "“%(device)s” gets a new key for the same uses. The old one works an hour "
            "longer, and ends with the first use of the new one."
        )
        return {
            "lead": said % {"device": row.device},
            "back": reverse("people"),
            "button": gettext("Make the key"),
        }

    def do(self, form: Any, row: Any) -> str:
        """Rotate it by the activity that the API calls."""
        token, key = tokens.rotate(token=row, at=timezone.now())
        return self.show_key(token, key)

    def _marked(self, rows: Any) -> Token:
        row: Token | None = (
            rows.select_related("membership__person")
            .filter(pk=self.kwargs["pk"])
            .first()
        )
        if row is None:
            raise Http404
        # The table has no version of its own; its ends tell two states apart.
        row.version = f"{row.revoked_at}{row.expires_at}"  # type: ignore[attr-defined]
        return row


class EndKey(PageView):
    """Make the key of a device void at once; whoever lost one is asked nothing."""

    act = CHANGE
    http_method_names = ["post"]

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """End it; a second time changes nothing."""
        rows = Token.objects.within(self.scope).select_related("membership")
        row = rows.select_for_update(of=("self",)).filter(pk=pk).first()
        if row is None:
            raise Http404
        ended = tokens.revoke(token=row, at=timezone.now())
        security_log.tell("key-revoked", revoked=ended.pk)
        said = gettext("The key of “%s” is ended; the device can do nothing more.")
        messages.info(request, said % row.device)
        is_phone = tokens.is_of_phone(row)
        return HttpResponseRedirect(reverse("phones" if is_phone else "people"))
