"""What every resource's view shares: the tenant's scope, versions, no deleting."""

from typing import Any

from django.conf import settings
from django.db.models import F
from django.utils import timezone
from rest_framework import exceptions, mixins, viewsets
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.access import middleware
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.filters import StrictFilterBackend
from fleet.platform.api.ordering import ByOrder, SearchBackend
from fleet.platform.api.permissions import scope_of
from fleet.platform.database import tenancy
from fleet.platform.queue import tasks
from fleet.register import registry


class Confined:
    """A view whose transaction is confined to the caller's contractor."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Authenticate, then confine, then check: checks may already read rows."""
        user = request.user
        scope = getattr(request._request, "scope", None)
        if scope is not None:
            actor = middleware.actor_of(request._request, person_id=user.pk)
            tenancy.confine(contractor_id=scope.contractor_id, actor=actor)
            if middleware.owner_is_gone(scope):
                raise exceptions.AuthenticationFailed("The owner is no longer here.")
        super().initial(request, *args, **kwargs)  # type: ignore[misc]


class ConfinedReadViewSet(Confined, viewsets.ReadOnlyModelViewSet[Any]):
    """List and read rows of the caller's scope."""

    # int() would read "1_0" as ten.
    lookup_value_regex = "[0-9]{1,18}"

    def get_queryset(self) -> Any:
        rows: Any = super().get_queryset()
        return rows.within(scope_of(self.request))


class Sorted:
    """A list that can be ordered and searched, where the view says by what."""

    pagination_class: Any = ByOrder
    filter_backends: Any = [StrictFilterBackend, SearchBackend]
    ordering_fields: tuple[str, ...] = ()
    search_fields: tuple[str, ...] = ()


class RegisterViewSet(
    Sorted, mixins.CreateModelMixin, mixins.UpdateModelMixin, ConfinedReadViewSet
):
    """List, read, create and change; what is no longer used is retired, not deleted.

    A change names the version it changes (If-Match: the ETag that was read).
    """

    http_method_names = ["get", "head", "options", "post", "patch"]

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        row = self.get_object()
        return Response(self.get_serializer(row).data, headers={"ETag": etag(row)})

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        serializer = self.get_serializer(data=request.data)
        serializer.is_valid(raise_exception=True)
        row = serializer.save()
        row.refresh_from_db()
        self._look_again(row)
        return Response(
            self.get_serializer(row).data,
            status=201,
            headers={
                "ETag": etag(row),
                "Location": request.build_absolute_uri(f"{request.path}/{row.pk}"),
            },
        )

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        row = self.get_object()
        wanted = request.headers.get("If-Match")
        if wanted is None:
            raise PreconditionRequired
        locked = self.get_queryset().select_for_update(of=("self",)).get(pk=row.pk)
        if not names_tag(wanted, etag(locked)):
            raise PreconditionFailed
        serializer = self.get_serializer(locked, data=request.data, partial=True)
        serializer.is_valid(raise_exception=True)
        serializer.save(version=F("version") + 1)
        locked.refresh_from_db()
        self._look_again(locked)
        return Response(
            self.get_serializer(locked).data, headers={"ETag": etag(locked)}
        )

    def _look_again(self, row: Any) -> None:
        """Have the machines assessed that a change of the register touches."""
        kind = settings.REGISTER_CHANGE_JOB
        ids = registry.reassess(
            scope=scope_of(self.request), row=row, kind=kind, now=timezone.now()
        )
        tasks.wake_after_commit(job_ids=ids, kind=kind)


def etag(row: Any) -> str:
    """Return the strong entity tag of a row's current version."""
    return f'"{row.pk}-{row.version}"'


def names_tag(if_match: str, tag: str) -> bool:
    """Tell whether an If-Match header names the tag (RFC 9110, 13.1.1: strongly)."""
    named = [part.strip() for part in if_match.split(",")]
    return named == ["*"] or tag in named
