"""The contractor's people, as the office sees and changes them; and who is calling."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import permissions, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.access import phones
from fleet.platform.api.confirming import ConfirmedForChanges
from fleet.platform.api.errors import PreconditionFailed, PreconditionRequired
from fleet.platform.api.permissions import MemberOnly, scope_of
from fleet.platform.models import Membership, Token
from fleet.platform.queue import tasks
from fleet.register import people
from fleet.register.api import people_serializers
from fleet.register.api.people_serializers import (
    Invitation,
    MembershipSerializer,
    MeSerializer,
    PersonsFactors,
)
from fleet.register.api.second_factor import BySession
from fleet.register.api.viewsets import (
    Confined,
    ConfinedReadViewSet,
    Sorted,
    etag,
    names_tag,
)
from fleet.register.people.inviting import Invitee as Invited

_INVITED = OpenApiExample(
    "a technician",
    value={
        "email": "ines@lifts.example",
        "first_name": "Ines",
        "last_name": "Moreira",
        "role": "TECHNICIAN",
    },
    request_only=True,
)


class PeopleViewSet(Sorted, ConfinedReadViewSet):
    """People and what they may do; everyone else sees only their own entry.

    Someone invited gets a link by mail to set a password; it is good for a week and
    for one time. Until then they can do nothing.
    """

    http_method_names = ["get", "head", "options", "post", "patch"]
    permission_classes = [MemberOnly, ConfirmedForChanges]
    queryset = Membership.objects.select_related("person")
    serializer_class = MembershipSerializer
    search_fields = ("person__email", "person__first_name", "person__last_name")
    filterset_fields = {"role": ["exact"], "deactivated_at": ["isnull"]}

    def get_queryset(self) -> QuerySet[Membership]:
        # Outside row-level security: the filter is the ring.
        rows = Membership.objects.select_related("person")
        return rows.within(scope_of(self.request))

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        return _answer(self.get_object())

    @extend_schema(
        request=Invitation,
        responses={201: MembershipSerializer},
        examples=[_INVITED],
    )
    def create(self, request: Request) -> Response:
        """Invite someone; the link is mailed to them."""
        given = self._given(Invitation(data=request.data, context=self._context()))
        membership, job_ids = people.invite(
            contractor_id=scope_of(request).contractor_id,
            invitation=Invited(**given),
            at=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=job_ids, kind=people.SEND_LINK)
        answer = _answer(membership, status=201)
        answer["Location"] = request.build_absolute_uri(
            f"{request.path}/{membership.pk}"
        )
        return answer

    @extend_schema(
        request=people_serializers.PersonChange,
        responses={200: MembershipSerializer},
    )
    def partial_update(self, request: Request, pk: str) -> Response:
        """Change a role, owner, name or competence; nobody changes what they may do."""
        membership = self._locked()
        wanted = request.headers.get("If-Match")
        if wanted is None:
            raise PreconditionRequired
        if not names_tag(wanted, etag(membership)):
            raise PreconditionFailed
        change = people_serializers.PersonChange(
            data=request.data, context=self._context(), partial=True
        )
        changed = people.change(
            scope=scope_of(request),
            membership=membership,
            fields=self._given(change),
        )
        return _answer(changed)

    @extend_schema(request=None, responses={200: people_serializers.LetGoOut})
    @action(detail=True, methods=["post"])
    def deactivate(self, request: Request, pk: str) -> Response:
        """End sessions and tokens at once; what was done stays."""
        membership = self._locked()
        unsent = phones.unsent_of(membership=membership)
        ended = people.deactivate(
            scope=scope_of(request), membership=membership, at=timezone.now()
        )
        answer = _answer(ended)
        answer.data["unsent_on_phones"] = unsent
        return answer

    @extend_schema(request=None, responses={200: MembershipSerializer})
    @action(detail=True, methods=["post"])
    def reactivate(self, request: Request, pk: str) -> Response:
        """Let someone work again, with the old password and without the old tokens."""
        return _answer(
            people.reactivate(scope=scope_of(request), membership=self._locked())
        )

    @extend_schema(responses=PersonsFactors(many=True), filters=False)
    @action(
        detail=False,
        methods=["get"],
        url_path="second-factors",
        filter_backends=[],
        serializer_class=PersonsFactors,
    )
    def second_factors(self, request: Request) -> Response:
        """Who has a second factor, and of which kinds; the office reads of all.

        Neither a secret nor what a person calls a factor is among this.
        """
        rows = self.get_queryset().select_related("contractor")
        rows = rows.prefetch_related("person__second_factors")
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(PersonsFactors(page, many=True).data)

    @extend_schema(request=None, responses={204: None})
    @action(
        detail=True,
        methods=["post"],
        url_path="reset-second-factor",
        permission_classes=[MemberOnly, BySession, ConfirmedForChanges],
    )
    def reset_second_factor(self, request: Request, pk: str) -> Response:
        """Take all second factors of someone away, who has lost them, and tell them.

        Make sure first that it is they who ask: afterwards the password alone lets
        them set up new ones. Their sessions end; keys of devices go on. Nobody resets
        their own.
        """
        people.reset_factor(
            scope=scope_of(request), membership=self._locked(), at=timezone.now()
        )
        return Response(status=204)

    @extend_schema(request=None, responses={200: MembershipSerializer})
    @action(detail=True, methods=["post"], url_path="send-link")
    def send_link(self, request: Request, pk: str) -> Response:
        """Mail a new link to set a password; older links are void."""
        membership = self._locked()
        ids = people.send_again(membership=membership, at=timezone.now())
        tasks.wake_after_commit(job_ids=ids, kind=people.SEND_LINK)
        return _answer(membership)

    def _locked(self) -> Membership:
        found = self.get_object()
        rows = self.get_queryset().select_for_update(of=("self",), no_key=True)
        return rows.get(pk=found.pk)

    def _context(self) -> dict[str, Any]:
        return dict(self.get_serializer_context())

    def _given(self, serializer: serializers.Serializer[Any]) -> dict[str, Any]:
        serializer.is_valid(raise_exception=True)
        return dict(serializer.validated_data)


def _answer(membership: Membership, *, status: int = 200) -> Response:
    membership = Membership.objects.select_related("person").get(pk=membership.pk)
    body = MembershipSerializer(membership).data
    return Response(body, status=status, headers={"ETag": etag(membership)})


class _KnownOnly(permissions.BasePermission):
    """Whoever is let in may ask who they are, with a token of any use."""

    def has_permission(self, request: Request, view: Any) -> bool:
        return getattr(request._request, "scope", None) is not None


class MeView(Confined, APIView):
    """Who is calling, for whom, and what the token is good for."""

    permission_classes = [_KnownOnly]

    @extend_schema(responses={200: MeSerializer})
    def get(self, request: Request) -> Response:
        people_serializers.no_parameters(request)
        membership = Membership.objects.select_related("person", "contractor").get(
            pk=scope_of(request).membership_id or 0
        )
        token = request.auth if isinstance(request.auth, Token) else None
        return Response(MeSerializer({"membership": membership, "token": token}).data)
