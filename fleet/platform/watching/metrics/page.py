"""`GET /metrics`: for a watcher that shows the secret of METRICS_TOKEN.

What stands in the database, and what all processes have counted.
"""

import hmac
from collections.abc import Callable, Iterable
from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET
from prometheus_client import CollectorRegistry, generate_latest

from fleet.platform import counters
from fleet.platform.watching.metrics import exposition

Source = Callable[..., Iterable[exposition.MetricFamily]]


# Each source opens transactions of its own: one is confined to a contractor at a time.
@transaction.non_atomic_requests
@require_GET
@never_cache
def page(request: HttpRequest) -> HttpResponse:
    """Answer with all metrics; 404 while no token is set, 401 without that token."""
    if settings.METRICS_TOKEN is None:
        raise Http404
    if not _shows_token(request, settings.METRICS_TOKEN):
        return HttpResponse(status=401, headers={"WWW-Authenticate": "Bearer"})
    counted = CollectorRegistry()
    counted.register(counters.AllProcesses())
    stored = exposition.text(families=_families(now=timezone.now()))
    return HttpResponse(
        stored + generate_latest(counted).decode(),
        content_type=exposition.CONTENT_TYPE,
    )


def _shows_token(request: HttpRequest, token: str) -> bool:
    shown = request.headers.get("Authorization", "")
    return hmac.compare_digest(shown.encode(), f"Bearer {token}".encode())


def _families(*, now: datetime) -> Iterable[exposition.MetricFamily]:
    for name in settings.METRICS_SOURCES:
        source: Source = import_string(name)
        yield from source(now=now)
