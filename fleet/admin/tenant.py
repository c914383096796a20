"""What the office's admin pages share: the tenant's scope, and no deleting.

The session middleware confines the request, so lists, choices and references hold
rows of the office's own contractor only. Who may is decided by the membership's role,
not by Django's permissions.
"""

from collections.abc import Mapping
from typing import Any

from django.contrib import admin
from django.db import models
from django.http import HttpRequest

from fleet.admin import forms
from fleet.choices import Role
from fleet.models import TenantRow
from fleet.tenancy import Scope


def scope_of(request: HttpRequest) -> Scope | None:
    """Return the scope that the session middleware has set, if any."""
    return getattr(request, "scope", None)


def is_office(request: HttpRequest) -> bool:
    """Tell whether the request comes from someone in a contractor's office."""
    scope = scope_of(request)
    return scope is not None and scope.role == Role.OFFICE


_NUMBERS: Mapping[Any, Any] = {models.FloatField: {"form_class": forms.NumberField}}


def _contractor_id(request: HttpRequest) -> int | None:
    scope = scope_of(request)
    return scope.contractor_id if scope is not None else None


class _OfficeOnly:
    """Permissions by role; a row is retired, not deleted."""

    def has_module_permission(self, request: HttpRequest) -> bool:
        return is_office(request)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_office(request)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_office(request)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return is_office(request)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def get_queryset(self, request: HttpRequest) -> Any:
        """Return the office's own rows; the first ring, before row-level security."""
        scope = scope_of(request)
        rows: Any = super().get_queryset(request)  # type: ignore[misc]
        return rows.within(scope) if scope is not None else rows.none()


class TenantInline(_OfficeOnly, admin.TabularInline):  # type: ignore[type-arg]
    """Children of a row on its own page."""

    formfield_overrides = _NUMBERS
    extra = 0
    show_change_link = True
    can_delete = False

    def get_formset(self, request: HttpRequest, obj: Any = None, **kwargs: Any) -> Any:
        return super().get_formset(
            request, obj, **{"form": forms.owned_form(_contractor_id(request))} | kwargs
        )


class TenantAdmin(_OfficeOnly, admin.ModelAdmin):  # type: ignore[type-arg]
    """A page over one contractor's rows."""

    formfield_overrides = _NUMBERS
    list_per_page = 50
    show_full_result_count = False
    save_on_top = True
    actions = None

    def get_form(
        self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any
    ) -> Any:
        owned = {"form": forms.owned_form(_contractor_id(request))}
        return super().get_form(request, obj, change, **owned | kwargs)

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return (*super().get_readonly_fields(request, obj), "version", "created_at")

    def save_model(
        self, request: HttpRequest, obj: TenantRow, form: Any, change: bool
    ) -> None:
        obj.version += change
        super().save_model(request, obj, form, change)

    def save_formset(
        self, request: HttpRequest, form: Any, formset: Any, change: bool
    ) -> None:
        for row in formset.save(commit=False):
            row.version += row.pk is not None
            row.save()
        formset.save_m2m()


class HistoryAdmin(TenantAdmin):
    """Rows that are looked at and never changed by hand."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
