"""Owners' answers: given by an owner's reader, seen by the office."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api import strict_fields
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MayAnswer, MemberOnly, scope_of
from fleet.register.api.viewsets import ConfinedReadViewSet, etag
from inspections.models import OwnerAnswer, Said
from inspections.planning import answering, kinds


class OwnerAnswerIn(StrictSerializer):
    """What the owner says to work that is proposed or planned; it is no order."""

    machine = strict_fields.StrictInteger(min_value=1)
    kind = serializers.ChoiceField(choices=kinds.ALL)
    answer = serializers.ChoiceField(choices=Said.choices)
    words = strict_fields.StrictText(max_length=500, required=False, allow_blank=True)


class OwnerAnswerOut(serializers.ModelSerializer[OwnerAnswer]):
    class Meta:
        model = OwnerAnswer
        exclude = ("contractor", "created_at")

    def to_representation(self, row: OwnerAnswer) -> dict[str, Any]:
        scope = scope_of(self.context["request"])
        return row.visibility.shown(super().to_representation(row), scope=scope)


class OwnerAnswerViewSet(mixins.CreateModelMixin, ConfinedReadViewSet):
    """List and read answers; owners give them, the office says to have seen them."""

    queryset = OwnerAnswer.objects.all()
    serializer_class = OwnerAnswerOut
    permission_classes = [MayAnswer]
    http_method_names = ["get", "head", "options", "post"]
    filterset_fields = {
        "machine": ["exact"],
        "kind": ["exact"],
        "answer": ["exact"],
        "seen_at": ["isnull"],
    }

    @extend_schema(
        request=OwnerAnswerIn,
        responses={201: OwnerAnswerOut},
        examples=[
            OpenApiExample(
                "agreed",
                value={"machine": 7, "kind": "RE_ROPE", "answer": "AGREE"},
                request_only=True,
            )
        ],
    )
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer in one's own name; nothing is ordered by it."""
        given = OwnerAnswerIn(data=request.data)
        given.is_valid(raise_exception=True)
        fields = given.validated_data
        row = answering.answer(
            scope=scope_of(request),
            machine_id=fields["machine"],
            kind=fields["kind"],
            said=fields["answer"],
            words=fields.get("words", ""),
            now=timezone.now(),
        )
        return self._shown(row, status=201)

    @extend_schema(request=None, responses=OwnerAnswerOut)
    @action(detail=True, methods=["post"], permission_classes=[MemberOnly])
    def see(self, request: Request, pk: str) -> Response:
        """Say to have seen it."""
        row = answering.see(
            scope=scope_of(request), answer_id=int(pk), now=timezone.now()
        )
        return self._shown(row)

    def _shown(self, row: OwnerAnswer, *, status: int = 200) -> Response:
        shown = OwnerAnswerOut(row, context=self.get_serializer_context())
        return Response(shown.data, status=status, headers={"ETag": etag(row)})
