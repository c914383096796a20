"""Who may do what at the API's door: the acts of `fleet/platform/visibility`."""

from typing import Any, ClassVar

from rest_framework import permissions
from rest_framework.request import Request

from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Token
from fleet.platform.visibility import acts, asking
from fleet.platform.visibility.acts import Act


def scope_of(request: Request) -> Scope:
    """Return the scope of an authenticated request."""
    return request._request.scope  # type: ignore[attr-defined,no-any-return]


def key_uses(request: Request) -> list[str] | None:
    """Return what the caller's key is good for; None for a logged-in person."""
    return list(request.auth.scopes) if isinstance(request.auth, Token) else None


class DoorPermission(permissions.BasePermission):
    """Lets in who may do the act; what is not taken here has none.

    Of a view that shows a table, only those read who see the table at all.
    """

    reads: ClassVar[Act | None] = None
    changes: ClassVar[Act | None] = None

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        is_read = request.method in permissions.SAFE_METHODS
        act = self.reads if is_read else self.changes
        if request.user is None or act is None:
            return False
        if not asking.may(act, scope=scope, good_for=key_uses(request)):
            return False
        model = getattr(getattr(view, "queryset", None), "model", None)
        has_rule = is_read and hasattr(model, "visibility")
        return not has_rule or asking.sees(model, scope=scope)


class MemberOnly(DoorPermission):
    """Members read what their table and scope show; the office changes the register."""

    reads = acts.READ
    changes = acts.CHANGE


class MayUpload(DoorPermission):
    """Technicians and the office bring readings in."""

    reads = changes = acts.BRING_IN


class MayReport(DoorPermission):
    """Technicians report with the token that uploads, the office with one that writes.

    For what changes more than readings: work done, a word on a reading.
    """

    reads = changes = acts.REPORT


class MayAnswer(DoorPermission):
    """An owner's reader answers; whoever sees answers reads them."""

    reads = acts.READ
    changes = acts.ANSWER


class MayTakeOut(DoorPermission):
    """Everyone may have a file made of what they see."""

    reads = acts.READ
    changes = acts.TAKE_OUT


class OfficeOnly(DoorPermission):
    """The office reads and changes; what stands here is the contractor's business."""

    reads = acts.READ_AS_OFFICE
    changes = acts.CHANGE


class PhoneOnly(DoorPermission):
    """A paired phone takes along what is to be measured, and says how it is."""

    reads = changes = acts.TAKE_ALONG

    def has_permission(self, request: Request, view: Any) -> bool:
        # Whoever has logged in has pages for it.
        return key_uses(request) is not None and super().has_permission(request, view)


class StaffOnly(DoorPermission):
    """The office and technicians read; an owner's reader has no business here."""

    reads = acts.READ_AS_STAFF
