"""What every page for people is set in: the ways on, language and units."""

from typing import Any

from django.http import HttpRequest

from fleet.platform.pages.navigation import ways
from fleet.platform.pages.preferences import preferred
from fleet.platform.queue import mail_hold
from fleet.platform.visibility import tables


def context(request: HttpRequest) -> dict[str, Any]:
    """Return what the frame shows of whoever asks, logged in or not."""
    scope = getattr(request, "scope", None)
    return {
        "preferences": preferred(request),
        "ways": ways(scope=scope, path=request.path),
        # What goes out, or does not, concerns the office alone.
        "mails_are_held": scope is not None
        and tables.sees_everything(scope)
        and mail_hold.is_held(),
    }


class Framed:
    """One of Django's own views with a template, set in the frame."""

    request: HttpRequest

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        """Return the view's context with the frame's."""
        own: dict[str, Any] = super().get_context_data(**more)  # type: ignore[misc]
        return context(self.request) | own
