"""What the office's admin pages share: the tenant's scope, and no deleting.

The session middleware confines the request, so lists, choices and references hold
rows of the office's own contractor only. Who may is decided by the acts of
`fleet/platform/visibility`, as for the API, not by Django's permissions.
"""

from collections.abc import Iterable, Mapping
from typing import Any

from django.conf import settings
from django.contrib import admin
from django.contrib.admin.utils import unquote
from django.db import models
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from fleet.platform.database.tenancy import Scope
from fleet.platform.models import TenantRow
from fleet.platform.pages.forms import ObjectField
from fleet.platform.queue import tasks
from fleet.platform.visibility import acts, asking
from fleet.register import registry
from fleet.register.admin import forms


def scope_of(request: HttpRequest) -> Scope | None:
    """Return the scope that the session middleware has set, if any."""
    return getattr(request, "scope", None)


def _may(request: HttpRequest, act: acts.Act) -> bool:
    return asking.may(act, scope=scope_of(request))


VERSION_READ = "read_version"
_STRICT: Mapping[Any, Any] = {
    models.FloatField: {"form_class": forms.AdminNumberField},
    models.JSONField: {"form_class": ObjectField},
}


def _contractor_id(request: HttpRequest) -> int | None:
    scope = scope_of(request)
    return scope.contractor_id if scope is not None else None


class _OfficeOnly:
    """Permissions by role; a row is retired, not deleted."""

    def has_module_permission(self, request: HttpRequest) -> bool:
        return _may(request, acts.READ_AS_OFFICE)

    def has_view_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return _may(request, acts.READ_AS_OFFICE)

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return _may(request, acts.CHANGE)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return _may(request, acts.CHANGE)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def get_queryset(self, request: HttpRequest) -> Any:
        """Return the office's own rows; the first ring, before row-level security."""
        scope = scope_of(request)
        rows: Any = super().get_queryset(request)  # type: ignore[misc]
        return rows.within(scope) if scope is not None else rows.none()

    def formfield_for_foreignkey(
        self, db_field: Any, request: HttpRequest, **kwargs: Any
    ) -> Any:
        """Take references to the office's own rows only, typed ids included."""
        target, scope = db_field.related_model, scope_of(request)
        if issubclass(target, TenantRow) and scope is not None:
            kwargs.setdefault("queryset", target.objects.within(scope))
        return super().formfield_for_foreignkey(  # type: ignore[misc]
            db_field, request, **kwargs
        )


class TenantInline(_OfficeOnly, admin.TabularInline):  # type: ignore[type-arg]
    """Children of a row on its own page."""

    formfield_overrides = _STRICT
    extra = 0
    show_change_link = True
    can_delete = False

    def get_queryset(self, request: HttpRequest) -> Any:
        """Return the children; locked while a change of theirs is looked at."""
        rows = super().get_queryset(request)
        is_changed = is_change(request) and self.has_change_permission(request)
        return rows.select_for_update(of=("self",)) if is_changed else rows

    def get_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        names = [n for n in super().get_fields(request, obj) if n != VERSION_READ]
        return [*names, VERSION_READ] if self.has_change_permission(request) else names

    def get_formset(self, request: HttpRequest, obj: Any = None, **kwargs: Any) -> Any:
        return super().get_formset(
            request, obj, **{"form": forms.owned_form(_contractor_id(request))} | kwargs
        )


class TenantAdmin(_OfficeOnly, admin.ModelAdmin):  # type: ignore[type-arg]
    """A page over one contractor's rows."""

    formfield_overrides = _STRICT
    list_per_page = 50
    show_full_result_count = False
    save_on_top = True

    def get_actions(self, request: HttpRequest) -> Any:
        """Return the page's own actions; nothing is deleted."""
        found = super().get_actions(request)
        found.pop("delete_selected", None)
        return found

    def get_object(
        self, request: HttpRequest, object_id: str, from_field: str | None = None
    ) -> Any:
        """Return the row; locked while a change of it is looked at."""
        found = super().get_object(request, object_id, from_field)
        is_changed = is_change(request) and self.has_change_permission(request)
        if found is None or not is_changed:
            return found
        rows = self.get_queryset(request).select_for_update(of=("self",))
        return rows.filter(pk=found.pk).first()

    def history_view(
        self, request: HttpRequest, object_id: str, extra_context: Any = None
    ) -> HttpResponse:
        """Show what the database wrote down about this row, whoever changed it."""
        found = self.get_object(request, unquote(object_id))
        if found is None:
            return self._get_obj_does_not_exist_redirect(  # type: ignore[attr-defined,no-any-return]
                request, self.opts, object_id
            )
        query = urlencode({"table": self.opts.db_table, "row_id": found.pk})
        listed = reverse("admin:fleet_change_changelist")
        return HttpResponseRedirect(f"{listed}?{query}")

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

    def save_related(
        self, request: HttpRequest, form: Any, formsets: Any, change: bool
    ) -> None:
        """Store the children, then have the machines assessed that this touches."""
        super().save_related(request, form, formsets, change)
        look_again(request, [form.instance])

    def save_formset(
        self, request: HttpRequest, form: Any, formset: Any, change: bool
    ) -> None:
        for row in formset.save(commit=False):
            row.version += row.pk is not None
            row.save()
        formset.save_m2m()


def is_change(request: HttpRequest) -> bool:
    """Tell whether the request may store something."""
    return request.method == "POST"


def look_again(request: HttpRequest, rows: Iterable[TenantRow]) -> int:
    """Have every machine assessed that the rows touch; return how many jobs that is."""
    scope, kind = scope_of(request), settings.REGISTER_CHANGE_JOB
    assert scope is not None
    ids = [
        job_id
        for row in rows
        for job_id in registry.reassess(
            scope=scope, row=row, kind=kind, now=timezone.now()
        )
    ]
    tasks.wake_after_commit(job_ids=ids, kind=kind)
    return len(ids)


class HistoryAdmin(TenantAdmin):
    """Rows that are looked at and never changed by hand."""

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
