"""In which language and units a person reads pages; kept by the browser."""

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import get_language
from django.views import View

from fleet.platform.access import cookie_names

UNITS_COOKIE = "units"
METRIC, INCH = "METRIC", "INCH"
_A_YEAR_S = 365 * 86_400


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """The language that is active, and the family of units."""

    language: str
    family: str

    @property
    def is_metric(self) -> bool:
        return self.family == METRIC


def preferred(request: HttpRequest) -> Preferences:
    """Return what the browser has kept; metric where it has kept nothing."""
    family = request.COOKIES.get(cookie_names.named(UNITS_COOKIE), METRIC)
    return Preferences(
        language=get_language() or settings.LANGUAGE_CODE,
        family=family if family in (METRIC, INCH) else METRIC,
    )


class Prefer(View):
    """Take another language or other units and lead back to where one was."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest, **_: Any) -> HttpResponse:
        """Keep what was chosen; what is not offered is left as it was."""
        back = request.POST.get("next", "")
        if not url_has_allowed_host_and_scheme(back, allowed_hosts=None):
            back = "/"
        answer = HttpResponseRedirect(back)
        language = request.POST.get("language", "")
        if language in dict(settings.LANGUAGES):
            _keep(answer, settings.LANGUAGE_COOKIE_NAME, language)
        family = request.POST.get("units", "")
        if family in (METRIC, INCH):
            _keep(answer, cookie_names.named(UNITS_COOKIE), family)
        return answer


def _keep(answer: HttpResponse, name: str, value: str) -> None:
    answer.set_cookie(
        name,
        value,
        max_age=_A_YEAR_S,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
