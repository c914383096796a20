"""The register's pages for the office: machines, sheaves, rope sets, work done."""

from collections.abc import Callable, Mapping
from typing import Any

from django.contrib import admin
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest

from fleet.platform import zones
from fleet.register import own_limits, quotas
from fleet.register.admin import actions
from fleet.register.admin.tenant import TenantAdmin, TenantInline, scope_of
from fleet.register.models import (
    Building,
    Groove,
    Machine,
    Owner,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)


@admin.register(Owner)
class OwnerAdmin(TenantAdmin):
    actions = (actions.retire,)
    list_display = ("name", "code", "email", "language", "unit_family", "retired_on")
    list_filter = (
        "language",
        "unit_family",
        ("retired_on", admin.EmptyFieldListFilter),
    )
    search_fields = ("name", "code", "email")


_CHECKS: Mapping[str, Callable[[Any], None]] = {
    "time_zone": zones.check,
    "criteria_set": own_limits.check_set,
    "criteria_overrides": own_limits.check,
}


@admin.register(Building)
class BuildingAdmin(TenantAdmin):
    actions = (actions.retire,)
    list_display = ("name", "code", "owner", "time_zone", "criteria_set", "retired_on")
    list_select_related = ("owner",)
    list_filter = ("criteria_set", ("retired_on", admin.EmptyFieldListFilter))
    search_fields = ("name", "code", "owner__name")
    autocomplete_fields = ("owner",)

    def formfield_for_dbfield(self, db_field: Any, request: Any, **kwargs: Any) -> Any:
        field = super().formfield_for_dbfield(db_field, request, **kwargs)
        check = _CHECKS.get(db_field.name)
        if check is not None and field is not None:
            field.validators.append(check)
        return field


class PulleyInline(TenantInline):
    model = Pulley
    exclude = ("sources", "uncertainties")


class SheaveInline(TenantInline):
    model = Sheave
    fields = ("fitted_on", "retired_on", "pitch_diameter_new_mm", "rim_construction")


@admin.register(Machine)
class MachineAdmin(TenantAdmin):
    actions = (actions.assess, actions.retire)
    list_display = ("code", "name", "building", "drive_kind", "wrap", "retired_on")
    list_select_related = ("building",)
    list_filter = ("drive_kind", "wrap", ("retired_on", admin.EmptyFieldListFilter))
    search_fields = ("code", "name", "building__name", "building__owner__name")
    autocomplete_fields = ("building",)
    inlines = (SheaveInline, PulleyInline)

    def save_model(
        self, request: HttpRequest, obj: Any, form: Any, change: Any
    ) -> None:
        """Store a machine, unless it is one more than there may be in service."""
        scope = scope_of(request)
        if scope is None:
            raise PermissionDenied
        try:
            with quotas.on_machines(scope=scope):
                super().save_model(request, obj, form, change)
        except quotas.QuotaReached as reached:
            raise PermissionDenied(reached.detail) from reached


class GeometryInline(TenantInline):
    model = SheaveGeometry
    verbose_name_plural = "Sheave geometries"
    exclude = ("sources", "uncertainties")


class GrooveInline(TenantInline):
    model = Groove


class RopeSetInline(TenantInline):
    model = RopeSet
    fields = (
        "machine",
        "fitted_on",
        "retired_on",
        "ropes_count",
        "nominal_diameter_mm",
    )
    autocomplete_fields = ("machine",)


@admin.register(Sheave)
class SheaveAdmin(TenantAdmin):
    actions = (actions.retire,)
    list_display = ("machine", "fitted_on", "retired_on", "pitch_diameter_new_mm")
    list_select_related = ("machine",)
    list_filter = ("rim_construction", ("retired_on", admin.EmptyFieldListFilter))
    search_fields = ("machine__code", "machine__name")
    autocomplete_fields = ("machine",)
    inlines = (GeometryInline, GrooveInline, RopeSetInline)


class RopeInline(TenantInline):
    model = Rope


@admin.register(RopeSet)
class RopeSetAdmin(TenantAdmin):
    actions = (actions.retire,)
    list_display = (
        "machine",
        "fitted_on",
        "retired_on",
        "ropes_count",
        "nominal_diameter_mm",
        "certificate",
    )
    list_select_related = ("machine",)
    list_filter = ("strand_class", ("retired_on", admin.EmptyFieldListFilter))
    search_fields = ("machine__code", "machine__name", "certificate")
    autocomplete_fields = ("machine", "sheave")
    inlines = (RopeInline,)


class SeatInline(TenantInline):
    model = RopeInGroove
    raw_id_fields = ("groove",)


@admin.register(Groove)
class GrooveAdmin(TenantAdmin):
    list_display = ("number", "sheave", "mark", "axial_mm")
    list_select_related = ("sheave__machine",)
    search_fields = ("sheave__machine__code", "mark")
    autocomplete_fields = ("sheave",)


@admin.register(Rope)
class RopeAdmin(TenantAdmin):
    list_display = ("number", "rope_set", "car_hitch", "counterweight_hitch")
    list_select_related = ("rope_set__machine",)
    search_fields = ("rope_set__machine__code",)
    autocomplete_fields = ("rope_set",)
    inlines = (SeatInline,)


@admin.register(Work)
class WorkAdmin(TenantAdmin):
    list_display = ("machine", "kind", "done_on", "done_by")
    list_select_related = ("machine",)
    list_filter = ("kind",)
    date_hierarchy = "done_on"
    search_fields = ("machine__code", "machine__name", "done_by", "note")
    autocomplete_fields = ("machine", "sheave", "rope_set")
    readonly_fields = ("done_by_member",)
