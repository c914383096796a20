"""Plain pages to log in, log out and set a password: Django's own views, limited."""

from typing import Any

from django.conf import settings
from django.contrib.auth import views as auth_views
from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse, reverse_lazy
from django.utils import timezone
from django.utils.decorators import method_decorator
from django.utils.http import urlencode
from django.views.generic import FormView

from fleet.platform import security_log
from fleet.platform.access import login_limits
from fleet.platform.access.middleware import actor_of, membership_of
from fleet.platform.database import tenancy
from fleet.platform.models import Membership
from fleet.platform.pages import Framed, frame
from fleet.platform.pages.codes import CodeForm
from fleet.register import logging_in, people
from fleet.register.people.links import LinkTokens, TokensOfAddresses


# Tries are counted whatever becomes of the request, so no transaction is around it.
@method_decorator(transaction.non_atomic_requests, name="dispatch")
class LogIn(Framed, auth_views.LoginView):
    """Log in with name and password, so many times in a quarter of an hour."""

    template_name = "people/login.html"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        now = timezone.now()
        tried = logging_in.tried_in(request, username=request.POST.get("username", ""))
        wait_s = login_limits.count(tried=tried, at=now)
        if wait_s is not None:
            security_log.tell("log-in-too-often", grave=True)
            return _wait(request, wait_s)
        answer = super().post(request, *args, **kwargs)
        if not is_taken(answer):
            security_log.tell("log-in-failed", grave=True)
        elif request.user.is_authenticated:
            logging_in.note_login(request, at=now)
            login_limits.forget(tried=tried)
            login_limits.remember_device(answer, username=request.user.get_username())
        return answer


def _wait(request: HttpRequest, wait_s: int) -> HttpResponse:
    words = frame.context(request) | {"wait_s": wait_s}
    answer = render(request, "people/wait.html", words, status=429)
    answer["Retry-After"] = str(wait_s)
    return answer


def is_taken(answer: HttpResponse) -> bool:
    """Tell whether a form led on, and was not shown again with its faults."""
    return answer.status_code == 302


class LogOut(auth_views.LogoutView):
    """End the session, and have the browser forget what it kept of it."""

    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        answer = super().dispatch(request, *args, **kwargs)
        # Not the cookies: language, units and the mark of a known browser stay.
        answer["Clear-Site-Data"] = '"cache", "storage"'
        return answer


class OpenLink(Framed, FormView):  # type: ignore[type-arg]
    """Take the code of a link that was mailed; it goes on in the session."""

    template_name = "people/open_link.html"
    form_class = CodeForm

    def form_valid(self, form: CodeForm) -> HttpResponse:
        """Lead on to the password, or say that the link is over."""
        name, _, token = form.cleaned_data["code"].partition(".")
        membership = people.opened_by(name=name)
        if membership is None or not LinkTokens(membership).check_token(
            membership.person, token
        ):
            words = self.get_context_data() | {"validlink": False}
            return render(self.request, SetPassword.template_name, words)
        self.request.session[auth_views.INTERNAL_RESET_SESSION_TOKEN] = token
        kept = SetPassword.reset_url_token
        return HttpResponseRedirect(reverse("set-password", args=[name, kept]))


class SetPassword(Framed, auth_views.PasswordResetConfirmView):
    """Set a password by a link that was mailed; it is good for one time.

    Its code comes out of the session, or out of the address of a link that an earlier
    version mailed.
    """

    template_name = "people/set_password.html"
    success_url = reverse_lazy("account")
    post_reset_login = True
    post_reset_login_backend = "django.contrib.auth.backends.ModelBackend"
    membership: Membership | None = None

    def get_user(self, uidb64: str) -> Any:
        self.membership = people.opened_by(name=uidb64)
        if self.membership is None:
            return None
        self.token_generator = self._tokens(self.membership)
        return self.membership.person

    def _tokens(self, membership: Membership) -> LinkTokens:
        tokens = LinkTokens(membership)
        kept = self.request.session.get(auth_views.INTERNAL_RESET_SESSION_TOKEN)
        is_in_session = self.kwargs["token"] == self.reset_url_token
        if is_in_session and tokens.check_token(membership.person, kept):
            return tokens
        return TokensOfAddresses(membership)

    def form_valid(self, form: Any) -> HttpResponse:
        assert self.membership is not None
        person_id = self.membership.person_id
        with transaction.atomic():
            tenancy.act_as(actor_of(self.request, person_id=person_id))
            Membership.objects.filter(pk=self.membership.pk, joined_at=None).update(
                joined_at=timezone.now()
            )
            answer = super().form_valid(form)
            logging_in.note_login(self.request, at=timezone.now())
            security_log.tell("password-set", person=person_id)
            return answer


class ChangePassword(Framed, auth_views.PasswordChangeView):
    """Set another password; sessions elsewhere end.

    Whoever sits at somebody's open browser guesses the old one as seldom as at the
    log-in.
    """

    template_name = "people/set_password.html"
    success_url = reverse_lazy("account")
    extra_context = {"validlink": True}

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        person = request.user
        tried = logging_in.tried_in(request, username=person.get_username())
        wait_s = login_limits.count(tried=tried, at=timezone.now())
        if wait_s is not None:
            security_log.tell("log-in-too-often", grave=True, person=person.pk)
            return _wait(request, wait_s)
        answer = super().post(request, *args, **kwargs)
        if is_taken(answer):
            login_limits.forget(tried=tried)
            security_log.tell("password-set", person=person.pk)
        else:
            security_log.tell("log-in-failed", grave=True, person=person.pk)
        return answer


@login_required
def account(request: HttpRequest) -> HttpResponse:
    """Say who is logged in, as what, and where to go from here."""
    membership = membership_of(request.user.pk or 0)
    words = frame.context(request) | {"membership": membership}
    return render(request, "people/account.html", words)


def admins_login(request: HttpRequest, extra_context: Any = None) -> HttpResponse:
    """Lead the office's pages to the one place where passwords are tried."""
    wanted = request.GET.get("next", reverse("admin:index"))
    query = urlencode({"next": wanted})
    return HttpResponseRedirect(f"{reverse(settings.LOGIN_URL)}?{query}")
