"""The one error shape: RFC 9457 problem bodies, for every error of the API."""

import logging
import sys
from typing import Any

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.db import IntegrityError, InterfaceError, OperationalError
from django.http import Http404, HttpRequest, JsonResponse
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.settings import api_settings
from rest_framework.views import set_rollback

from fleet.platform import security_log
from fleet.platform.errors import (
    Away,
    Conflict,
    DomainError,
    NotFound,
    TooLarge,
    Unprocessable,
)

logger = logging.getLogger(__name__)

CONTENT_TYPE = "application/problem+json"

_STATUS_OF = (
    (NotFound, status.HTTP_404_NOT_FOUND),
    (Conflict, status.HTTP_409_CONFLICT),
    (TooLarge, status.HTTP_413_REQUEST_ENTITY_TOO_LARGE),
    (Unprocessable, status.HTTP_422_UNPROCESSABLE_ENTITY),
    (Away, status.HTTP_503_SERVICE_UNAVAILABLE),
    (DomainError, status.HTTP_400_BAD_REQUEST),
)

_TITLES = {
    400: "The request cannot be understood",
    401: "Who you are is not known",
    403: "You do not have permission",
    404: "There is nothing here",
    405: "This method is not taken here",
    406: "No such form of answer is given here",
    409: "The request does not fit what is stored",
    411: "The length of the body is not said",
    412: "The object has changed since you read it",
    413: "The request is too large",
    416: "The file has no such part",
    415: "This content type is not taken",
    422: "Content not accepted",
    428: "Say which version you change: send If-Match",
    429: "Too many requests",
    500: "Something went wrong on the server",
    503: "What is needed does not answer in time",
}


class PreconditionFailed(exceptions.APIException):
    """The object's version is not the one named in If-Match."""

    status_code = status.HTTP_412_PRECONDITION_FAILED
    default_code = "changed-meanwhile"
    default_detail = "Read the object again and repeat the change."


class PreconditionRequired(exceptions.APIException):
    """A change without If-Match."""

    status_code = status.HTTP_428_PRECONDITION_REQUIRED
    default_code = "if-match-required"
    default_detail = "Send If-Match with the ETag of the object you read."


def problem(
    *,
    status_code: int,
    code: str,
    detail: str,
    errors: list[dict[str, str]] | None = None,
) -> dict[str, Any]:
    """Return a problem body. `errors` name a pointer, a code and a detail each."""
    body: dict[str, Any] = {
        "type": "about:blank",
        "title": _TITLES.get(status_code, "The request failed"),
        "status": status_code,
        "code": code,
        "detail": detail,
    }
    if errors:
        body["errors"] = errors
    return body


def problem_response(error: Exception, context: dict[str, Any]) -> Response | None:
    """Turn an exception of a view into a problem response; DRF calls this."""
    set_rollback()
    headers: dict[str, str] = {}
    if isinstance(error, Http404):
        error = exceptions.NotFound()
    if isinstance(error, PermissionDenied):
        error = exceptions.PermissionDenied()
    if isinstance(error, exceptions.PermissionDenied):
        _tell_refused(context.get("request"))
    if isinstance(error, RequestDataTooBig):
        error = TooLarge(f"the body is larger than {settings.UPLOAD_MAX_BYTES:,} bytes")
    if isinstance(error, (OperationalError, InterfaceError)):
        return _outage(error)
    if isinstance(error, IntegrityError):
        body = _of_integrity_error(error)
    elif isinstance(error, DomainError):
        body = _of_domain_error(error)
    elif isinstance(error, exceptions.APIException):
        body = _of_api_exception(error)
        if header := getattr(error, "auth_header", None):
            headers["WWW-Authenticate"] = header
        if wait := getattr(error, "wait", None):
            headers["Retry-After"] = str(int(wait))
    else:
        return None
    return Response(
        body, status=body["status"], headers=headers, content_type=CONTENT_TYPE
    )


def _tell_refused(request: Any) -> None:
    """Tell by which method and at which door somebody was refused; no ids."""
    match = getattr(request, "resolver_match", None)
    door = match.view_name if match else ""
    method = getattr(request, "method", "")
    security_log.tell("act-refused", method=method, door=door)


def _of_domain_error(error: DomainError) -> dict[str, Any]:
    status_code = next(code for base, code in _STATUS_OF if isinstance(error, base))
    errors = []
    if error.pointer:
        errors.append(
            {"pointer": error.pointer, "code": error.code, "detail": error.detail}
        )
    return problem(
        status_code=status_code, code=error.code, detail=error.detail, errors=errors
    )


# SQLSTATE class 23: what the database refused, and the status that says so.
_REFUSALS = {
    "23505": (409, "already-there"),
    "23P01": (409, "overlaps"),
    "23514": (422, "out-of-range"),
    "23503": (422, "refers-to-nothing"),
    "23502": (422, "missing"),
    "23001": (409, "append-only"),
}


def _of_integrity_error(error: IntegrityError) -> dict[str, Any]:
    diagnosis = getattr(error.__cause__, "diag", None)
    state = getattr(diagnosis, "sqlstate", None) or ""
    name = getattr(diagnosis, "constraint_name", None) or ""
    status_code, code = _REFUSALS.get(state, (409, "conflict"))
    rule = name.replace("_", " ") or "a rule of the database"
    return problem(
        status_code=status_code,
        code=code,
        detail=f"This would break the rule: {rule}.",
    )


def _of_api_exception(error: exceptions.APIException) -> dict[str, Any]:
    code = str(error.default_code)
    if isinstance(error, exceptions.ValidationError):
        errors = flat(error)
        return problem(
            status_code=400,
            code="invalid",
            detail="; ".join(e["detail"] for e in errors[:3]),
            errors=errors,
        )
    return problem(
        status_code=error.status_code, code=code.replace("_", "-"), detail=str(error)
    )


def flat(error: exceptions.ValidationError) -> list[dict[str, str]]:
    """Return what a serializer refused: a pointer, a code and a detail each."""
    return list(_flatten(error.get_full_details(), pointer=""))


def _flatten(details: Any, *, pointer: str) -> list[dict[str, str]]:
    """Return DRF's nested error details as a flat list with JSON pointers."""
    if isinstance(details, dict) and set(details) == {"message", "code"}:
        message = str(details["message"])
        code = str(details["code"]).replace("_", "-")
        return [{"pointer": pointer or "/", "code": code, "detail": message}]
    if isinstance(details, dict):
        parts = [(_step(pointer, str(key)), value) for key, value in details.items()]
    else:
        parts = [(pointer, value) for value in details]
    return [found for path, value in parts for found in _flatten(value, pointer=path)]


def _step(pointer: str, key: str) -> str:
    """Return the pointer one key deeper (RFC 6901); DRF's own word is no key."""
    if key == api_settings.NON_FIELD_ERRORS_KEY:
        return pointer
    return f"{pointer}/{key.replace('~', '~0').replace('/', '~1')}"


def _outage(error: Exception) -> Response:
    logger.warning("database away: %s", error.__class__.__name__)
    return Response(
        _outage_body(error),
        status=503,
        headers={"Retry-After": "5"},
        content_type=CONTENT_TYPE,
    )


_TOOK_TOO_LONG = "57014"


def _outage_body(error: Exception) -> dict[str, Any]:
    if getattr(error.__cause__, "sqlstate", None) == _TOOK_TOO_LONG:
        return problem(
            status_code=503,
            code="took-too-long",
            detail="Nothing was stored. Ask for less at once, or again later.",
        )
    return problem(
        status_code=503,
        code="database-away",
        detail="Nothing was stored. Send the same request again shortly.",
    )


def not_found(request: HttpRequest, exception: Exception) -> JsonResponse:
    """Answer for addresses that lead nowhere."""
    body = problem(status_code=404, code="not-found", detail="No such address.")
    return JsonResponse(body, status=404, content_type=CONTENT_TYPE)


def bad_request(request: HttpRequest, exception: Exception) -> JsonResponse:
    """Answer for requests that Django itself refuses."""
    if isinstance(exception, RequestDataTooBig):
        body = problem(
            status_code=413,
            code="body-too-large",
            detail=f"the body is larger than {settings.UPLOAD_MAX_BYTES:,} bytes",
        )
    else:
        body = problem(
            status_code=400, code="bad-request", detail=exception.__class__.__name__
        )
    return JsonResponse(body, status=body["status"], content_type=CONTENT_TYPE)


def server_error(request: HttpRequest) -> JsonResponse:
    """Answer for failures outside the API's own handler.

    Outages are told apart, and so are references that the database checks only at
    the end of the transaction.
    """
    error = sys.exception()
    if isinstance(error, IntegrityError):
        body = _of_integrity_error(error)
        return JsonResponse(body, status=body["status"], content_type=CONTENT_TYPE)
    if isinstance(error, (OperationalError, InterfaceError)):
        return JsonResponse(
            _outage_body(error),
            status=503,
            headers={"Retry-After": "5"},
            content_type=CONTENT_TYPE,
        )
    body = problem(status_code=500, code="server-error", detail="It has been logged.")
    return JsonResponse(body, status=500, content_type=CONTENT_TYPE)
