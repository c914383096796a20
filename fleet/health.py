"""Is the service alive, and can it work?"""

from django.db import connection, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, JsonResponse
from django.urls import reverse


def front_door(request: HttpRequest) -> HttpResponse:
    """Send a browser to the office's pages."""
    return HttpResponseRedirect(reverse("admin:index"))


@transaction.non_atomic_requests
def live(request: HttpRequest) -> HttpResponse:
    """Answer as long as the process answers at all; asks no one else."""
    return JsonResponse({"live": True})


@transaction.non_atomic_requests
def ready(request: HttpRequest) -> HttpResponse:
    """Answer 200 if the database answers too, else the outage's 503."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return JsonResponse({"ready": True})
