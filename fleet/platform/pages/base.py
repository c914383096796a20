"""A page: for people who are logged in, confined to what they may see."""

from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views import View
from django_htmx.http import HttpResponseClientRefresh, push_url

from fleet.platform import security_log
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.platform.pages import frame
from fleet.platform.pages.preferences import Preferences, preferred
from fleet.platform.visibility.acts import READ, Act
from fleet.platform.visibility.asking import may


class PageView(View):
    """Lets in whoever is logged in and may do `act`; says in words that others may not.

    What belongs to another contractor is answered like what is not there.
    """

    template_name: str
    act: Act = READ
    scope: Scope
    preferences: Preferences

    def dispatch(
        self, request: HttpRequest, *args: Any, **kwargs: Any
    ) -> HttpResponseBase:
        """Answer a request once it is known who asks."""
        if not request.user.is_authenticated:
            # A part of a page cannot be a log-in: the whole is asked for again.
            if getattr(request, "htmx", False):
                return HttpResponseClientRefresh()
            return redirect_to_login(request.get_full_path())
        scope = getattr(request, "scope", None)
        self.preferences = preferred(request)
        if scope is None or not may(self.act, scope=scope):
            match = request.resolver_match
            door = match.view_name if match else ""
            security_log.tell("act-refused", method=request.method, door=door)
            return self._rendered("pages/refused.html", {}, 403)
        self.scope = scope
        try:
            return super().dispatch(request, *args, **kwargs)
        except (NotFound, Http404):
            return self.answer("pages/absent.html", status=404)

    def answer(
        self,
        template: str = "",
        context: dict[str, Any] | None = None,
        *,
        status: int = 200,
    ) -> HttpResponse:
        """Return a template filled in, with what every page needs besides."""
        return self._rendered(
            template or self.template_name,
            {"scope": self.scope, **(context or {})},
            status,
        )

    def _rendered(
        self, template: str, context: dict[str, Any], status: int
    ) -> HttpResponse:
        if status in (403, 404) and getattr(self.request, "htmx", False):
            return HttpResponseClientRefresh()
        shared = frame.context(self.request) | context
        answer = render(self.request, template, shared, status=status)
        # Whoever presses "back" after logging out sees nothing of a tenant.
        answer["Cache-Control"] = "no-store"
        return answer if not _is_there(self.request) else push_url(answer, False)


def _is_there(request: HttpRequest) -> bool:
    """Return whether a part is asked for whose address the page has already.

    A filter that is left by Enter asks twice, for the change and to send it: "back"
    leads to before both.
    """
    asked: Any = getattr(request, "htmx", None)
    return bool(asked) and asked.current_url_abs_path == request.get_full_path()
