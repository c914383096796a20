"""Planned work: chosen by the office, seen by whoever has to do with the machine."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api import strict_fields
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import scope_of
from fleet.register.api.viewsets import ConfinedReadViewSet, Sorted, etag, names_tag
from inspections.api.cautioned import Cautioned
from inspections.api.money import AmountField
from inspections.decisions.records import OptionKind
from inspections.models import PlannedStep, PlannedWork, PlanState
from inspections.planning import changing, choosing, currencies, kinds, spending
from inspections.planning.choosing import PickedOption


class ChoiceIn(StrictSerializer):
    """The option that is chosen; days that are left out are the option's own."""

    machine = strict_fields.StrictInteger(min_value=1)
    option = serializers.ChoiceField(choices=[str(kind) for kind in OptionKind])
    window_from_on = strict_fields.StrictDate(required=False)
    due_before_on = strict_fields.StrictDate(required=False)
    note = strict_fields.StrictText(max_length=2000, required=False, allow_blank=True)
    although = strict_fields.StrictText(
        max_length=400,
        required=False,
        help_text="Why it is chosen though it would not help as things stand.",
    )
    scenario = strict_fields.StrictInteger(
        min_value=1,
        required=False,
        help_text="The scenario of this machine that it is planned from.",
    )


class PlanChangeIn(StrictSerializer):
    """A new state, other days or another note; `words` say what happened."""

    state = serializers.ChoiceField(choices=PlanState.choices, required=False)
    window_from_on = strict_fields.StrictDate(required=False, allow_null=True)
    due_before_on = strict_fields.StrictDate(required=False, allow_null=True)
    order_by_on = strict_fields.StrictDate(required=False, allow_null=True)
    note = strict_fields.StrictText(max_length=2000, required=False, allow_blank=True)
    words = strict_fields.StrictText(max_length=500, required=False)


class SpentIn(StrictSerializer):
    """What done work took; amounts are decimal text in the currency.

    It replaces what was said before. What is not given is not known. A hoisting or an
    access that several works shared stands at one of them.
    """

    currency = strict_fields.StrictText(max_length=3, required=False)
    hours = AmountField(required=False, help_text="Persons' hours.")
    labour = AmountField(required=False)
    rope_m = AmountField(required=False, help_text="Metres of rope, of all ropes.")
    rope = AmountField(required=False)
    part = AmountField(required=False, help_text="Sheave, rim or lubricant.")
    shop = AmountField(required=False)
    hoisting = AmountField(required=False)
    access = AmountField(
        required=False, help_text="Scaffold, crane's way, opening up, night work."
    )
    other = AmountField(required=False)
    note = strict_fields.StrictText(max_length=500, required=False)

    def validate_currency(self, value: str) -> str:
        if value not in currencies.CODES:
            raise serializers.ValidationError(
                f"{value!r} is no code of ISO 4217, such as EUR."
            )
        return value


class PlannedStepOut(serializers.ModelSerializer[PlannedStep]):
    class Meta:
        model = PlannedStep
        fields = ("state", "at", "membership_id", "words", "said")


class PlannedWorkOut(serializers.ModelSerializer[PlannedWork]):
    """What was planned, by whom and when, how it went, and what was found.

    What it was expected to cost is in `planned`, for the office only; an owner's
    reader is not shown the note.
    """

    words = serializers.SerializerMethodField()
    machine_code = serializers.CharField(source="machine.code", read_only=True)
    reported_as = serializers.SerializerMethodField()
    planned = serializers.SerializerMethodField()

    class Meta:
        model = PlannedWork
        exclude = ("contractor",)

    def get_words(self, row: PlannedWork) -> str:
        """The kind in words."""
        return kinds.WORDS.get(row.kind, row.kind)

    def get_reported_as(self, row: PlannedWork) -> str | None:
        """The kind of work it is reported as; null where it is not reported."""
        return kinds.REPORTED_AS.get(row.kind)

    def get_planned(self, row: PlannedWork) -> dict[str, Any]:
        """The option as it stood when it was chosen."""
        return dict(row.planned)

    def to_representation(self, row: PlannedWork) -> dict[str, Any]:
        scope = scope_of(self.context["request"])
        return row.visibility.shown(super().to_representation(row), scope=scope)


class PlannedWorkDetailOut(PlannedWorkOut):
    """The same with every step on the way, the first one first."""

    steps = PlannedStepOut(many=True, read_only=True)


class PlannedWorkViewSet(
    Cautioned, Sorted, mixins.CreateModelMixin, ConfinedReadViewSet
):
    """List and read planned work; the office chooses and changes it."""

    queryset = PlannedWork.objects.all()
    serializer_class = PlannedWorkOut
    http_method_names = ["get", "head", "options", "post", "patch"]
    ordering_fields = ("due_before_on", "order_by_on", "done_on")
    search_fields = ("machine__code", "machine__name", "machine__building__name")
    filterset_fields = {
        "machine": ["exact"],
        "machine__building": ["exact"],
        "kind": ["exact"],
        "state": ["exact"],
        "due_before_on": ["gte", "lt"],
        "follows": ["exact"],
    }

    def get_queryset(self) -> Any:
        return super().get_queryset().select_related("machine")

    @extend_schema(responses=PlannedWorkDetailOut)
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return self._answer(self.get_object())

    @extend_schema(
        request=ChoiceIn,
        responses={201: PlannedWorkDetailOut},
        examples=[
            OpenApiExample(
                "chosen",
                value={"machine": 7, "option": "RE_ROPE", "note": "with the neighbour"},
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        given = ChoiceIn(data=request.data)
        given.is_valid(raise_exception=True)
        fields = dict(given.validated_data)
        row = choosing.choose(
            scope=scope_of(request),
            machine_id=fields.pop("machine"),
            choice=PickedOption(kind=fields.pop("option"), **fields),
            now=timezone.now(),
        )
        where = request.build_absolute_uri(f"{request.path}/{row.pk}")
        return self._answer(row, status=201, Location=where)

    @extend_schema(request=PlanChangeIn, responses=PlannedWorkDetailOut)
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        row = self.get_object()
        wanted = request.headers.get("If-Match")
        if wanted is None:
            raise PreconditionRequired
        rows = PlannedWork.objects.within(scope_of(request))
        locked = rows.select_for_update(of=("self",)).get(pk=row.pk)
        if not names_tag(wanted, etag(locked)):
            raise PreconditionFailed
        given = PlanChangeIn(data=request.data)
        given.is_valid(raise_exception=True)
        changes = dict(given.validated_data)
        words = changes.pop("words", "")
        changed = changing.change(
            scope=scope_of(request),
            row=locked,
            changes=changes,
            words=words,
            now=timezone.now(),
        )
        return self._answer(changed)

    @extend_schema(request=SpentIn, responses=PlannedWorkDetailOut)
    @action(detail=True, methods=["post"], url_path="spent")
    def spent(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say what done work really took; an owner is never shown it."""
        scope = scope_of(request)
        rows = PlannedWork.objects.within(scope)
        locked = rows.select_for_update(of=("self",)).get(pk=self.get_object().pk)
        given = SpentIn(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        return self._answer(spending.spend(scope=scope, row=locked, said=said))

    def _answer(
        self, row: PlannedWork, *, status: int = 200, **headers: str
    ) -> Response:
        shown = PlannedWorkDetailOut(row, context=self.get_serializer_context())
        return Response(
            shown.data,
            status=status,
            headers={"ETag": etag(row), **headers},
        )
