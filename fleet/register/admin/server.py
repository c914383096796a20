"""The pages of the server's administrator: contractors, people, tokens."""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.http import HttpRequest

from fleet.platform import zones
from fleet.platform.access import token_families
from fleet.platform.models import Contractor, Membership, Person, Token


class MembershipInline(admin.TabularInline):  # type: ignore[type-arg]
    model = Membership
    extra = 0
    autocomplete_fields = ("person",)


@admin.register(Contractor)
class ContractorAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    asks_to_confirm = True
    list_display = ("name", "code", "time_zone", "nightly_due_at", "retired_on")
    search_fields = ("name", "code")
    inlines = (MembershipInline,)

    def formfield_for_dbfield(self, db_field: Any, request: Any, **kwargs: Any) -> Any:
        field = super().formfield_for_dbfield(db_field, request, **kwargs)
        if db_field.name == "time_zone" and field is not None:
            field.validators.append(zones.check)
        return field

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(Person)
class PersonAdmin(UserAdmin):  # type: ignore[type-arg]
    """People who may log in."""

    asks_to_confirm = True


@admin.register(Token)
class TokenAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    """Devices' keys: looked at and revoked here, issued by command."""

    asks_to_confirm = True
    list_display = ("device", "membership", "expires_at", "revoked_at", "last_used_at")
    list_select_related = ("membership__person",)
    search_fields = ("device", "prefix", "membership__person__username")
    fields = ("device", "membership", "scopes", "expires_at", "revoked_at")
    readonly_fields = ("membership", "scopes", "expires_at")

    def save_model(
        self, request: HttpRequest, obj: Token, form: Any, change: bool
    ) -> None:
        """Store it; a key that is revoked takes its family with it."""
        super().save_model(request, obj, form, change)
        if obj.revoked_at is not None:
            token_families.end(token=obj, at=obj.revoked_at)

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
