"""The caller's own second factors: set up, shown, given up. In a session only.

A key of a device neither shows one nor changes any: whoever holds a key may not be the
person.
"""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import permissions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.access import middleware, sessions
from fleet.platform.access.factors import codes, passkeys, recovery, showing, standing
from fleet.platform.api import confirming, errors
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.limits import too_many
from fleet.platform.models import Membership, Person, SecondFactor, Token
from fleet.register import logging_in
from fleet.register.api import factor_serializers as forms
from fleet.register.api.people_serializers import no_parameters

WRONG = "second-factor-wrong"


class BySession(permissions.BasePermission):
    """Someone who has logged in, with a second factor or not yet."""

    def has_permission(self, request: Request, view: Any) -> bool:
        return isinstance(request.user, Person) and not isinstance(request.auth, Token)


class _View(APIView):
    permission_classes = [BySession]

    def given(self, request: Request, form: type[StrictSerializer]) -> Any:
        """Return the body's fields; raises ValidationError."""
        no_parameters(request)
        serializer = form(data=request.data)
        serializer.is_valid(raise_exception=True)
        return serializer.validated_data


class _Adding(_View):
    """Adds a factor: the first one after the password, others after one shown."""

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        plain = request._request
        if has_factor(plain) and not sessions.has_shown_factor(plain):
            raise confirming.FactorMissing
        if not confirming.is_fresh(plain):
            raise confirming.ConfirmAgain


class FactorsView(_View):
    """What the caller has, and whether it is asked for."""

    @extend_schema(operation_id="second_factor_retrieve", responses=forms.FactorsOut)
    def get(self, request: Request) -> Response:
        no_parameters(request)
        person = person_of(request._request)
        body = {
            "is_required": standing.is_required(
                person=person, membership=membership_of(request)
            ),
            "is_shown": sessions.has_shown_factor(request._request),
            "factors": SecondFactor.objects.usable().filter(person=person),
            "recovery_codes_left": recovery.left(person=person),
        }
        return Response(forms.FactorsOut(body).data)


class CodesView(_Adding):
    """Begin with one-time codes."""

    @extend_schema(
        operation_id="second_factor_codes_create",
        request=forms.NewFactor,
        responses={201: forms.SecretOut},
    )
    def post(self, request: Request) -> Response:
        """Return a secret for the caller's app; it counts once a code was confirmed."""
        given = self.given(request, forms.NewFactor)
        person = person_of(request._request)
        showing.check_room(person=person)
        row, secret = codes.begin(person=person, name=given["name"])
        body = {
            "id": row.pk,
            "secret": secret,
            "address": codes.address(person=person, secret=secret),
        }
        return _secret(forms.SecretOut(body).data, status=201)


class ConfirmCodesView(_Adding):
    """The first code of a secret that waits for one."""

    @extend_schema(
        operation_id="second_factor_codes_confirm",
        request=forms.CodeIn,
        responses=forms.AddedOut,
    )
    def post(self, request: Request, pk: int) -> Any:
        """Take it; recovery codes come with the first factor, and only now."""
        given = self.given(request, forms.CodeIn)
        shown, spare = showing.confirm_codes(
            request._request,
            person=person_of(request._request),
            factor_id=pk,
            code=given["code"],
            at=timezone.now(),
        )
        if not shown.is_right:
            return refused(shown)
        return _secret(forms.AddedOut({"id": pk, "recovery_codes": spare}).data)


class PasskeyOptionsView(_Adding):
    """What a browser needs to make a passkey."""

    @extend_schema(
        operation_id="second_factor_passkey_options",
        request=None,
        responses=forms.OptionsOut,
    )
    def post(self, request: Request) -> Response:
        """Return it (PublicKeyCredentialCreationOptions); good for five minutes."""
        no_parameters(request)
        person = person_of(request._request)
        showing.check_room(person=person)
        options = passkeys.options_to_add(
            request._request, person=person, at=timezone.now()
        )
        return _secret({"public_key": options})


class PasskeysView(_Adding):
    """Passkeys that browsers have made."""

    @extend_schema(
        operation_id="second_factor_passkeys_create",
        request=forms.NewPasskey,
        responses={201: forms.AddedOut},
    )
    def post(self, request: Request) -> Any:
        """Store one; recovery codes come with the first factor, and only now."""
        given = self.given(request, forms.NewPasskey)
        person, now = person_of(request._request), timezone.now()
        showing.check_room(person=person)
        try:
            row = passkeys.add(
                request._request,
                person=person,
                name=given["name"],
                credential=given["credential"],
                at=now,
            )
        except passkeys.NotVerified:
            return refused(showing.TryOutcome(is_right=False))
        spare = showing.added(request._request, person=person, row=row, at=now)
        body = {"id": row.pk, "recovery_codes": spare}
        return _secret(forms.AddedOut(body).data, status=201)


class ChallengeView(_View):
    """What a browser needs to show a passkey."""

    @extend_schema(
        operation_id="second_factor_challenge",
        request=None,
        responses=forms.OptionsOut,
    )
    def post(self, request: Request) -> Response:
        """Return it (PublicKeyCredentialRequestOptions); good for five minutes."""
        no_parameters(request)
        options = passkeys.options_to_show(
            request._request, person=person_of(request._request), at=timezone.now()
        )
        return _secret({"public_key": options})


class VerifyView(_View):
    """The second factor, shown."""

    @extend_schema(
        operation_id="second_factor_verify",
        request=forms.FactorIn,
        responses={204: None},
    )
    def post(self, request: Request) -> Any:
        """Take a one-time code, a recovery code or a passkey's answer; each once."""
        given = self.given(request, forms.FactorIn)
        person, now = person_of(request._request), timezone.now()
        if "credential" in given:
            shown = showing.by_passkey(
                request._request, person=person, credential=given["credential"], at=now
            )
        else:
            shown = showing.by_code(
                request._request, person=person, code=given["code"], at=now
            )
        return Response(status=204) if shown.is_right else refused(shown)


class RecoveryCodesView(_Adding):
    """Recovery codes, anew."""

    @extend_schema(
        operation_id="second_factor_recovery_codes",
        request=None,
        responses=forms.RecoveryOut,
    )
    def post(self, request: Request) -> Any:
        """Return new ones, which is done this once; the earlier ones are void."""
        no_parameters(request)
        person = person_of(request._request)
        spare = showing.renew_codes(person=person, at=timezone.now())
        return _secret(forms.RecoveryOut({"recovery_codes": spare}).data)


class RemoveView(_Adding):
    """A factor that is no longer used."""

    @extend_schema(
        operation_id="second_factor_remove", request=None, responses={204: None}
    )
    def post(self, request: Request, pk: int) -> Response:
        """Give it up; the last one stays where the contractor wants one."""
        no_parameters(request)
        showing.remove(
            request._request,
            person=person_of(request._request),
            membership=membership_of(request),
            factor_id=pk,
            at=timezone.now(),
        )
        return Response(status=204)


class ConfirmPasswordView(_View):
    """The password, once more."""

    @extend_schema(
        operation_id="confirm_password", request=forms.PasswordIn, responses={204: None}
    )
    def post(self, request: Request) -> Any:
        """Take it, for what asks that one has just confirmed who one is."""
        given = self.given(request, forms.PasswordIn)
        shown = logging_in.confirm_password(
            request._request, password=given["password"], at=timezone.now()
        )
        if shown.wait_s is not None:
            return too_many(wait_s=shown.wait_s)
        if not shown.is_right:
            return _problem("password-wrong", "This is not your password.")
        return Response(status=204)


def has_factor(request: HttpRequest) -> bool:
    """Tell whether the session's person has a second factor."""
    return standing.has_factor(person_id=person_of(request).pk)


def person_of(request: HttpRequest) -> Person:
    """Return the session's person."""
    assert isinstance(request.user, Person)
    return request.user


def membership_of(request: Request) -> Membership | None:
    """Return the membership of the session's person, its factor shown or not."""
    return middleware.membership_of(person_of(request._request).pk)


def refused(shown: showing.TryOutcome) -> Any:
    """Return the problem of a factor that was not right; its count stays."""
    if shown.wait_s is not None:
        return too_many(wait_s=shown.wait_s)
    return _problem(WRONG, "It is wrong, too old, or was used before.")


def _problem(code: str, detail: str) -> Response:
    body = errors.problem(status_code=403, code=code, detail=detail)
    return Response(body, status=403, content_type=errors.CONTENT_TYPE)


def _secret(body: Any, *, status: int = 200) -> Response:
    return Response(body, status=status, headers={"Cache-Control": "no-store"})
