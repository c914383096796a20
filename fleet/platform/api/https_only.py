"""Programs that forgot HTTPS are told so, not led there.

A redirect would hide that each of their requests sends its key in the clear first; only
people's browsers are led to HTTPS (ASVS 5.0, 4.1.2).
"""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, JsonResponse

from fleet.platform import security_log
from fleet.platform.api import errors

Responder = Callable[[HttpRequest], HttpResponse]
FOR_PROGRAMS = ("/api/", "/metrics")
CODE = "https-required"
SAID = "Nothing is taken without HTTPS. A key that was sent is no longer a secret."


class RefusePlain:
    """Refuse a program's request that came without HTTPS, and read nothing of it."""

    def __init__(self, get_response: Responder) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if (
            settings.SECURE_SSL_REDIRECT
            and request.path.startswith(FOR_PROGRAMS)
            and not request.is_secure()
        ):
            security_log.tell("sent-without-https", grave=True)
            body = errors.problem(status_code=403, code=CODE, detail=SAID)
            return JsonResponse(body, status=403, content_type=errors.CONTENT_TYPE)
        return self.get_response(request)
