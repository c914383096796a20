"""What was read, found and forecast, for the office to look at; nothing is edited."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from fleet.register.admin.tenant import HistoryAdmin, TenantAdmin, TenantInline
from inspections.models import (
    Assessment,
    Finding,
    Forecast,
    Gauge,
    Reading,
    Stop,
    StopEvent,
    Visit,
)


class _ReadOnlyInline(TenantInline):
    can_delete = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(Gauge)
class GaugeAdmin(TenantAdmin):
    list_display = ("code", "name", "resolution_mm", "calibration_due_on", "retired_on")
    list_filter = (("retired_on", admin.EmptyFieldListFilter),)
    search_fields = ("code", "name")


class ReadingInline(_ReadOnlyInline):
    model = Reading
    fields = (
        "kind",
        "groove",
        "rope",
        "typed_value",
        "typed_unit",
        "taken_at",
        "state",
    )


@admin.register(Visit)
class VisitAdmin(HistoryAdmin):
    list_display = ("machine", "kind", "visited_at", "reference")
    list_select_related = ("machine",)
    list_filter = ("kind",)
    date_hierarchy = "visited_at"
    search_fields = ("machine__code", "machine__name", "reference")
    inlines = (ReadingInline,)


@admin.register(Reading)
class ReadingAdmin(HistoryAdmin):
    list_display = (
        "machine",
        "kind",
        "groove",
        "rope",
        "typed_value",
        "typed_unit",
        "taken_at",
        "state",
    )
    list_select_related = ("machine", "groove", "rope")
    list_filter = ("state", "kind")
    date_hierarchy = "taken_at"
    search_fields = ("machine__code", "machine__name", "reference")


class FindingInline(_ReadOnlyInline):
    model = Finding
    fields = ("topic", "place", "grade", "value", "limit", "margin", "unit", "reason")


@admin.register(Assessment)
class AssessmentAdmin(HistoryAdmin):
    list_display = ("machine", "as_of", "grade", "criteria_set", "cause")
    list_select_related = ("machine",)
    list_filter = ("grade", "criteria_set", "cause")
    search_fields = ("machine__code", "machine__name")
    inlines = (FindingInline,)


@admin.register(Finding)
class FindingAdmin(HistoryAdmin):
    list_display = ("machine", "topic", "place", "grade", "value", "limit", "unit")
    list_select_related = ("machine",)
    list_filter = ("grade", "topic", "stops_service")
    search_fields = ("machine__code", "machine__name")


class StopEventInline(_ReadOnlyInline):
    model = StopEvent
    fields = ("kind", "at", "membership_id", "readings", "told", "words")


@admin.register(Stop)
class StopAdmin(HistoryAdmin):
    list_display = ("machine", "cause", "place", "since", "acknowledged_at", "release")
    list_select_related = ("machine",)
    list_filter = ("cause", "basis", ("released_at", admin.EmptyFieldListFilter))
    date_hierarchy = "since"
    search_fields = ("machine__code", "machine__name")
    inlines = (StopEventInline,)


@admin.register(Forecast)
class ForecastAdmin(HistoryAdmin):
    list_display = ("machine", "quantity", "place", "state", "p10_on", "plan_before_on")
    list_select_related = ("machine",)
    list_filter = ("state", "quantity", "current")
    search_fields = ("machine__code", "machine__name")
