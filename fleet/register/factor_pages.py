"""Plain pages for the second factor: show it, set it up, confirm once more."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext, gettext_noop
from django.views import View

from fleet.platform.access import middleware, sessions
from fleet.platform.access.factors import codes, recovery, showing, standing
from fleet.platform.api import confirming
from fleet.platform.errors import DomainError
from fleet.platform.models import FactorKind, Person, SecondFactor
from fleet.platform.pages import frame
from fleet.register import logging_in

WRONG = gettext_noop("It is wrong, too old, or was used before.")
WRONG_PASSWORD = gettext_noop("This is not your password.")


class AccountPage(View):
    """A page of the person's own account, in a contractor or in none."""

    http_method_names = ["get", "head", "post"]

    @method_decorator(login_required)
    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        return super().dispatch(request, *args, **kwargs)

    @property
    def person(self) -> Person:
        """Return who has logged in."""
        assert isinstance(self.request.user, Person)
        return self.request.user

    def led_on(self) -> HttpResponse:
        """Lead to where the browser wanted to go, on this server only."""
        return HttpResponseRedirect(_wanted(self.request))

    def shown(self, template: str, *, status: int = 200, **words: Any) -> HttpResponse:
        """Return a page, never kept by a browser."""
        words |= frame.context(self.request) | {"next": _wanted(self.request)}
        answer = render(self.request, f"people/{template}.html", words, status=status)
        answer["Cache-Control"] = "no-store"
        return answer

    def refused(
        self, template: str, what: showing.TryOutcome, *, told: str, **words: Any
    ) -> HttpResponse:
        """Return the page again, or how long to wait."""
        if what.wait_s is None:
            return self.shown(template, told=gettext(told), status=403, **words)
        answer = self.shown("wait", wait_s=what.wait_s, status=429)
        answer["Retry-After"] = str(what.wait_s)
        return answer


class ShowFactor(AccountPage):
    """Ask for a code or a passkey; whoever has no factor goes on without."""

    def get(self, request: HttpRequest) -> HttpResponse:
        if not standing.has_factor(person_id=self.person.pk):
            return self.led_on()
        return self.shown("show_factor", **self.words())

    def post(self, request: HttpRequest) -> HttpResponse:
        what = showing.by_code(
            request,
            person=self.person,
            code=request.POST.get("code", "")[:_LONGEST],
            at=timezone.now(),
        )
        if what.is_right:
            return self.led_on()
        return self.refused("show_factor", what, told=WRONG, **self.words())

    def words(self) -> dict[str, Any]:
        """Return what the page says beside the form."""
        rows = SecondFactor.objects.usable().filter(person=self.person)
        return {"has_passkey": rows.filter(kind=FactorKind.PASSKEY).exists()}


class Confirm(ShowFactor):
    """Ask once more who it is: by the factor where there is one, else the password."""

    def get(self, request: HttpRequest) -> HttpResponse:
        if standing.has_factor(person_id=self.person.pk):
            return super().get(request)
        return self.shown("confirm")

    def post(self, request: HttpRequest) -> HttpResponse:
        if standing.has_factor(person_id=self.person.pk):
            return super().post(request)
        what = logging_in.confirm_password(
            request, password=request.POST.get("password", ""), at=timezone.now()
        )
        if what.is_right:
            return self.led_on()
        return self.refused("confirm", what, told=WRONG_PASSWORD)


class SetUpFactor(AccountPage):
    """What the person has, and how to add to it or give it up."""

    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        """Ask first for what must have been shown to change anything here."""
        if request.user.is_authenticated:
            has_factor = standing.has_factor(person_id=request.user.pk)
            is_shown = not has_factor or sessions.has_shown_factor(request)
            if not (is_shown and confirming.is_fresh(request)):
                return HttpResponseRedirect(
                    f"{reverse('confirm')}?next={reverse('set-up-factor')}"
                )
        return super().dispatch(request, *args, **kwargs)

    def get(self, request: HttpRequest) -> HttpResponse:
        return self.listed()

    def post(self, request: HttpRequest) -> HttpResponse:
        acts = {
            "begin": self.begin,
            "confirm": self.confirm,
            "remove": self.remove,
            "recovery": self.renew,
        }
        act = acts.get(request.POST.get("act", ""))
        if act is None:
            return self.listed()
        try:
            return act()
        except DomainError as problem:
            return self.listed(told=problem.detail, status=409)

    def begin(self) -> HttpResponse:
        """Show a new secret, to be confirmed by its first code."""
        showing.check_room(person=self.person)
        name = self.request.POST.get("name", "").strip()[:100] or "telephone"
        row, secret = codes.begin(person=self.person, name=name)
        return self.shown(
            "new_codes",
            factor=row,
            secret=secret,
            address=codes.address(person=self.person, secret=secret),
        )

    def confirm(self) -> HttpResponse:
        """Take the first code of a secret."""
        what, spare = showing.confirm_codes(
            self.request,
            person=self.person,
            factor_id=self._factor_id(),
            code=self.request.POST.get("code", "")[:_LONGEST],
            at=timezone.now(),
        )
        if what.is_right:
            return self.listed(recovery_codes=spare)
        row = SecondFactor.objects.get(person=self.person, pk=self._factor_id())
        return self.refused("new_codes", what, told=WRONG, factor=row)

    def remove(self) -> HttpResponse:
        """Give one up."""
        showing.remove(
            self.request,
            person=self.person,
            membership=middleware.membership_of(self.person.pk),
            factor_id=self._factor_id(),
            at=timezone.now(),
        )
        return self.listed()

    def renew(self) -> HttpResponse:
        """Show new recovery codes in the place of all earlier ones."""
        spare = showing.renew_codes(person=self.person, at=timezone.now())
        return self.listed(recovery_codes=spare)

    def listed(self, *, status: int = 200, **words: Any) -> HttpResponse:
        """Return the page with what the person has."""
        rows = SecondFactor.objects.usable().filter(person=self.person)
        return self.shown(
            "factors",
            status=status,
            factors=rows,
            codes_left=recovery.left(person=self.person),
            **words,
        )

    def _factor_id(self) -> int:
        text = self.request.POST.get("factor", "")
        is_id = text.isascii() and text.isdigit() and len(text) <= _LONGEST_ID
        return int(text) if is_id else 0


_LONGEST, _LONGEST_ID = 40, 18


def _wanted(request: HttpRequest) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    is_ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if is_ours else reverse("account")
