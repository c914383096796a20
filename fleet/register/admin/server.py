"""The pages of the server's administrator: contractors, people, tokens, failed jobs."""

from typing import Any

from django.contrib import admin, messages
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import UserChangeForm
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from fleet.platform import zones
from fleet.platform.access import token_families
from fleet.platform.models import Contractor, Job, Membership, Person, Token
from fleet.platform.queue import retrying
from fleet.register.admin import forms


class MembershipInline(admin.TabularInline):  # type: ignore[type-arg]
    model = Membership
    extra = 0
    autocomplete_fields = ("person",)


@admin.register(Contractor)
class ContractorAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    asks_to_confirm = True
    form = forms.PrintableForm
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


class _PersonForm(forms.PrintableForm, UserChangeForm):  # type: ignore[type-arg]
    """A person's names, and all that Django asks of one."""


@admin.register(Person)
class PersonAdmin(UserAdmin):  # type: ignore[type-arg]
    """People who may log in."""

    asks_to_confirm = True
    form = _PersonForm


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


@admin.action(description="Try again", permissions=["view"])
def retry(page: Any, request: HttpRequest, rows: QuerySet[Job]) -> None:
    """Queue the chosen jobs afresh; what has not failed is left alone."""
    done = retrying.retry(rows=rows, now=timezone.now())
    text = f"{len(done.queued)} will be tried again."
    if done.left_to_others:
        text += f" {len(done.left_to_others)} were queued anew already."
    page.message_user(request, text, messages.SUCCESS)


@admin.register(Job)
class FailedJobAdmin(admin.ModelAdmin):  # type: ignore[type-arg]
    """Jobs that failed: ids, kinds and the class of the failure, nobody's rows."""

    list_display = ("kind", "contractor_id", "subject_id", "problem", "finished_at")
    list_filter = ("kind", "problem")
    ordering = ("-finished_at", "-pk")
    actions = (retry,)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Job]:
        """Return the failed ones only: others are no one's to look after."""
        return retrying.failed()

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
