"""Who may do what at the API's door."""

from typing import Any

from rest_framework import permissions
from rest_framework.request import Request

from fleet.platform.choices import Role, TokenScope
from fleet.platform.database.tenancy import Scope
from fleet.platform.models import Token


def scope_of(request: Request) -> Scope:
    """Return the scope of an authenticated request."""
    return request._request.scope  # type: ignore[attr-defined,no-any-return]


def _token_allows(request: Request, wanted: str) -> bool:
    return not isinstance(request.auth, Token) or wanted in request.auth.scopes


def _admits(view: Any, scope: Scope) -> bool:
    """Tell whether the table that a view shows is one that the scope sees at all."""
    rows = getattr(view, "queryset", None)
    rule = getattr(getattr(rows, "model", None), "visibility", None)
    return rule is None or rule.admits(scope)


class MemberOnly(permissions.BasePermission):
    """Members read what their table and scope show; the office changes the register."""

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        if request.user is None or scope is None:
            return False
        if request.method in permissions.SAFE_METHODS:
            return _token_allows(request, TokenScope.READ) and _admits(view, scope)
        return scope.role == Role.OFFICE and _token_allows(request, TokenScope.WRITE)


class MayUpload(permissions.BasePermission):
    """Technicians and the office bring readings in."""

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        return (
            request.user is not None
            and scope is not None
            and scope.role in (Role.TECHNICIAN, Role.OFFICE)
            and _token_allows(request, TokenScope.UPLOAD)
        )


class MayReport(permissions.BasePermission):
    """Technicians report with the token that uploads, the office with one that writes.

    For what changes more than readings: work done, a word on a reading.
    """

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        if request.user is None or scope is None:
            return False
        if scope.role == Role.TECHNICIAN:
            return _token_allows(request, TokenScope.UPLOAD)
        return scope.role == Role.OFFICE and _token_allows(request, TokenScope.WRITE)


class OfficeOnly(permissions.BasePermission):
    """The office reads and changes; what stands here is the contractor's business."""

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        if request.user is None or scope is None or scope.role != Role.OFFICE:
            return False
        reads = request.method in permissions.SAFE_METHODS
        return _token_allows(request, TokenScope.READ if reads else TokenScope.WRITE)


class StaffOnly(permissions.BasePermission):
    """The office and technicians read; an owner's reader has no business here."""

    def has_permission(self, request: Request, view: Any) -> bool:
        scope = getattr(request._request, "scope", None)
        return (
            request.user is not None
            and scope is not None
            and scope.role in (Role.OFFICE, Role.TECHNICIAN)
            and request.method in permissions.SAFE_METHODS
            and _token_allows(request, TokenScope.READ)
        )
