"""The person's own sessions, listed and ended behind a fresh confirmation."""

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext, ngettext

from fleet.platform.access import open_sessions
from fleet.platform.api import confirming
from fleet.register.factor_pages import AccountPage


class OpenSessions(AccountPage):
    """Where the person is logged in, and how to end it there."""

    def dispatch(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        """Ask first that the person has just shown who they are."""
        if request.user.is_authenticated and not confirming.is_fresh(request):
            query = f"next={reverse('open-sessions')}"
            return HttpResponseRedirect(f"{reverse('confirm')}?{query}")
        return super().dispatch(request, *args, **kwargs)

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show them, this one first."""
        return self.listed()

    def post(self, request: HttpRequest) -> HttpResponse:
        """End one, or all but this one."""
        asked: dict[str, Any] = {
            "person": self.person,
            "here": request.session,
            "at": timezone.now(),
        }
        mark = request.POST.get("session", "")
        if mark:
            ended = int(open_sessions.end(mark=mark, **asked))
        else:
            ended = open_sessions.end_others(**asked)
        if not ended:
            return self.listed(told=gettext("No other session was open any more."))
        said = ngettext("%(n)s session was ended.", "%(n)s sessions were ended.", ended)
        return self.listed(done=said % {"n": ended})

    def listed(self, **words: Any) -> HttpResponse:
        """Return the page."""
        found = open_sessions.listed(
            person=self.person, here=self.request.session, at=timezone.now()
        )
        return self.shown("open_sessions", sessions=found, **words)
