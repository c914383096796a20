"""Is the service alive, and can it work?"""

import logging

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse

from fleet.platform.watching import checks

logger = logging.getLogger(__name__)


def front_door(request: HttpRequest) -> HttpResponse:
    """Lead whoever is logged in to the first page that they may see."""
    if not request.user.is_authenticated:
        return HttpResponseRedirect(reverse("log-in"))
    scope = getattr(request, "scope", None)
    first = "account"
    for name, _words, roles in settings.NAVIGATION if scope is not None else ():
        if scope is not None and scope.role in roles:
            first = name
            break
    return HttpResponseRedirect(reverse(first))


@transaction.non_atomic_requests
def live(request: HttpRequest) -> HttpResponse:
    """Answer as long as the process answers at all; asks no one else."""
    return JsonResponse({"live": True})


@transaction.non_atomic_requests
def ready(request: HttpRequest) -> HttpResponse:
    """Answer 200 if the database answers too, else the outage's 503.

    503 as well with a database role that row-level security does not bind.
    """
    powers = checks.powers()
    if powers:
        logger.error("the role of DATABASE_URL %s", " and ".join(powers))
        return JsonResponse({"ready": False, "reason": "database-role"}, status=503)
    return JsonResponse({"ready": True})
