"""The log of changes, for the office to look at."""

from typing import Any

from django.contrib import admin
from django.db.models import CharField, OuterRef, Subquery
from django.http import HttpRequest

from fleet.platform import naming
from fleet.platform.models import Change, Person
from fleet.register.admin.tenant import HistoryAdmin


@admin.register(Change)
class ChangeAdmin(HistoryAdmin):
    """Who changed what and when, however it came."""

    list_display = ("created_at", "by", "act", "table", "row_id", "what", "via")
    list_filter = ("act",)
    date_hierarchy = "created_at"
    search_fields = ("table", "via", "request")
    fields = (
        "created_at",
        "by",
        "act",
        "table",
        "row_id",
        "fields",
        "via",
        "request",
        "transaction",
    )

    def get_queryset(self, request: HttpRequest) -> Any:
        person = Person.objects.filter(pk=OuterRef("person_id")).values_list(
            naming.own_name_of("username")
        )
        rows = super().get_queryset(request)
        return rows.annotate(by=Subquery(person[:1], output_field=CharField()))

    def lookup_allowed(self, lookup: str, value: Any, request: Any) -> bool:
        """Let a row's page lead to the changes of that row."""
        is_rows_own = lookup in ("table", "row_id")
        return is_rows_own or super().lookup_allowed(lookup, value, request)

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> Any:
        return self.fields

    @admin.display(description="by")
    def by(self, change: Any) -> str:
        return change.by or ""

    @admin.display(description="fields")
    def what(self, change: Change) -> str:
        return ", ".join(change.fields)
