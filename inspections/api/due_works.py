"""The portfolio's list: what is due, by day, by risk, by building, by part."""

from collections.abc import Iterator, Sequence
from typing import Any

from django.core import signing
from django.db.models import OuterRef, Q, Subquery
from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import exceptions, mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api import pagination
from fleet.platform.api.confirming import RecentlyConfirmed
from fleet.platform.api.filters import IdFilter, StrictFilterSet
from fleet.platform.api.permissions import MemberOnly, scope_of
from fleet.register.api.viewsets import Confined, Sorted
from fleet.register.exchange.neutral import neutralise
from fleet.register.exchange.table import write_chunks
from inspections import inputs
from inspections.api import stops
from inspections.api.cautioned import Cautioned
from inspections.models import DueWork, Stop
from inspections.planning import kinds, portfolio

MOST_LINES = 20_000
# Only what is shown: a page reads no masses and no sources of its machines.
_SHOWN = (
    *(field.name for field in DueWork._meta.concrete_fields),
    "machine__code",
    "machine__name",
    "building__name",
)


class DueWorkOut(serializers.ModelSerializer[DueWork]):
    """One line: what, at which machine, by when, why. Cost is the office's alone."""

    words = serializers.SerializerMethodField()
    grade = serializers.SerializerMethodField()
    out_of_service_since = serializers.DateTimeField(allow_null=True, read_only=True)
    machine_code = serializers.CharField(source="machine.code", read_only=True)
    machine_name = serializers.CharField(source="machine.name", read_only=True)
    building_name = serializers.CharField(source="building.name", read_only=True)

    class Meta:
        model = DueWork
        exclude = ("contractor", "version", "created_at", "rank_on")

    def get_words(self, row: DueWork) -> str:
        """The kind in words."""
        return kinds.WORDS.get(row.kind, row.kind)

    def get_grade(self, row: DueWork) -> str:
        """The machine's grade; with an open stop it is STOPPED."""
        is_stopped = row.out_of_service_since is not None  # type: ignore[attr-defined]
        return stops.STOPPED if is_stopped else row.grade

    def to_representation(self, row: DueWork) -> dict[str, Any]:
        scope = scope_of(self.context["request"])
        return row.visibility.shown(super().to_representation(row), scope=scope)


class _Shared(serializers.Serializer[Any]):
    """Through one room, from `window_from_on` on and before `due_before_on`."""

    window_from_on = serializers.DateField()
    due_before_on = serializers.DateField()
    room = serializers.CharField(allow_blank=True)
    lines = serializers.ListField(child=serializers.IntegerField())


class DueByBuildingOut(serializers.Serializer[Any]):
    """One building: which lines one hoisting lifts at one go, or one access serves."""

    building = serializers.IntegerField()
    building_code = serializers.CharField()
    building_name = serializers.CharField()
    due_before_on = serializers.DateField(allow_null=True)
    order_by_on = serializers.DateField(allow_null=True)
    works = serializers.IntegerField()
    machines = serializers.IntegerField()
    hoistings = _Shared(many=True)
    accesses = _Shared(many=True)
    lines = serializers.ListField(child=serializers.IntegerField())


class DueByPartOut(serializers.Serializer[Any]):
    """One kind of rope: for how many machines, how many of them, and by when."""

    part = serializers.CharField()
    part_said = serializers.JSONField(allow_null=True)
    count = serializers.IntegerField()
    due_before_on = serializers.DateField(allow_null=True)
    order_by_on = serializers.DateField(allow_null=True)
    works = serializers.IntegerField()
    machines = serializers.IntegerField()
    lines = serializers.ListField(child=serializers.IntegerField())


class DueWorkFilter(StrictFilterSet):
    building = IdFilter(field_name="building")
    owner = IdFilter(field_name="owner")

    class Meta:
        model = DueWork
        fields = {
            "machine": ["exact"],
            "kind": ["exact", "in"],
            "state": ["exact"],
            "grade": ["exact"],
            "part": ["exact"],
            "due_before_on": ["gte", "lt"],
            "order_by_on": ["lt"],
            "risk": ["gte"],
            "out_of_service": ["exact"],
            "hoists": ["exact"],
            "planned_work": ["isnull"],
        }


class ByFirstDay(pagination.ById):
    """Pages of groups in the order of their first day, with the list's own cursor."""

    def paginate_queryset(self, queryset: Any, request: Any, view: Any = None) -> Any:
        self.request = request
        self.binding = pagination._binding(request)
        size = pagination._page_size(request.query_params.get("page_size"))
        after = self._after(request.query_params.get("cursor"))
        rows = list(queryset.filter(after)[: size + 1])
        self.more = len(rows) > size
        last = rows[size - 1] if self.more else None
        self.last = [last["first_on"].isoformat(), last["key"]] if last else None
        return rows[:size]

    def _after(self, cursor: str | None) -> Q:
        if cursor is None:
            return Q()
        try:
            bound_to, (day, key) = signing.loads(cursor, salt="cursor")
        except (signing.BadSignature, ValueError, TypeError):
            bound_to, day, key = None, "", 0
        if bound_to != self.binding:
            raise exceptions.ParseError("The cursor does not belong to this list.")
        return Q(first_on__gt=day) | Q(first_on=day, key__gt=key)


class DueWorkViewSet(
    Cautioned,
    Sorted,
    Confined,
    mixins.ListModelMixin,
    viewsets.GenericViewSet[DueWork],
):
    """Proposed and planned work: that of stopped machines first, then by day."""

    queryset = DueWork.objects.all()
    serializer_class = DueWorkOut
    filterset_class = DueWorkFilter
    usual_ordering = "rank_on"
    ordering_fields = ("rank_on", "order_by_on", "risk")
    search_fields = ("machine__code", "machine__name", "building__name")

    def get_queryset(self) -> Any:
        rows = DueWork.objects.within(scope_of(self.request))
        rows = rows.select_related("machine", "building").only(*_SHOWN)
        if self.action != "list":
            return rows
        open_rows = Stop.objects.filter(machine=OuterRef("machine"), released_at=None)
        first = open_rows.order_by("since").values("since")[:1]
        return rows.annotate(out_of_service_since=Subquery(first))

    @extend_schema(responses=DueByBuildingOut(many=True))
    @action(detail=False, url_path="by-building", pagination_class=ByFirstDay)
    def by_building(self, request: Request) -> Response:
        """What is due by building, and what neighbours can share."""
        rows = self.filter_queryset(self.get_queryset()).select_related(None)
        groups = self.paginate_queryset(portfolio.by_building(rows)) or []
        rows_of_lines = DueWork.objects.within(scope_of(request))
        lines = rows_of_lines.select_related("machine").in_bulk(
            [pk for group in groups if group["accesses_count"] for pk in group["lines"]]
        )
        earlier = portfolio.earlier(inputs.standing_terms(scope=scope_of(request)))
        shown = [
            group
            | {
                "building": group["building_id"],
                "building_code": group["building__code"],
                "building_name": group["building__name"],
                "due_before_on": group["first_due_on"],
                "hoistings": portfolio.hoistings(of_group, earlier=earlier),
                "accesses": portfolio.accesses(of_group, earlier=earlier),
            }
            for group in groups
            for of_group in [[lines[pk] for pk in group["lines"] if pk in lines]]
        ]
        return self.get_paginated_response(DueByBuildingOut(shown, many=True).data)

    @extend_schema(responses=DueByPartOut(many=True))
    @action(detail=False, url_path="by-part", pagination_class=ByFirstDay)
    def by_part(self, request: Request) -> Response:
        """What has to be ordered: the same rope for several machines is one order."""
        rows = self.filter_queryset(self.get_queryset()).select_related(None)
        page = self.paginate_queryset(portfolio.by_part(rows)) or []
        groups = portfolio.with_codes(rows, page)
        shown = [group | {"due_before_on": group["first_due_on"]} for group in groups]
        return self.get_paginated_response(DueByPartOut(shown, many=True).data)

    @extend_schema(responses={(200, "text/csv"): OpenApiTypes.BINARY})
    @action(
        detail=False,
        url_path="csv",
        pagination_class=None,
        permission_classes=[MemberOnly, RecentlyConfirmed],
    )
    def csv(self, request: Request) -> HttpResponse:
        """The same list as a file, at most 20,000 lines."""
        rows = self.filter_queryset(self.get_queryset()).order_by("rank_on", "pk")
        names = DueWork.visibility.names(_COLUMNS, scope=scope_of(request))
        lines = _lines(list(rows[:MOST_LINES]), names=names)
        answer = HttpResponse(
            b"".join(write_chunks(lines)),
            content_type="text/csv; charset=utf-8; header=present",
        )
        answer["Content-Disposition"] = 'attachment; filename="due-works.csv"'
        answer["X-Content-Type-Options"] = "nosniff"
        return answer


_COLUMNS = (
    "machine_code",
    "machine_name",
    "building",
    "state",
    "kind",
    "words",
    "window_from_on",
    "due_before_on",
    "order_by_on",
    "risk",
    "grade",
    "out_of_service",
    "part",
    "part_count",
    "reason",
    "cost_low",
    "cost_high",
    "currency",
)


def _lines(rows: Sequence[DueWork], *, names: Sequence[str]) -> Iterator[list[str]]:
    yield list(names)
    for row in rows:
        found = {
            "machine_code": row.machine.code,
            "machine_name": row.machine.name,
            "building": row.building.name,
            "words": kinds.WORDS.get(row.kind, row.kind),
        }
        cells = [found.get(name, getattr(row, name, "")) for name in names]
        yield [_cell(value) for value in cells]


def _cell(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "" if value is None else neutralise(str(value))
