"""Calls to the API as one of the cast's people would make them."""

import json
from contextlib import contextmanager
from typing import Any

from django.test import Client

from fleet.platform.database import tenancy
from tests import factories

NOBODY = None


def call(
    cast: factories.Cast | None,
    method: str,
    path: str,
    body: Any = None,
    *,
    role: str = "OFFICE",
    raw: bytes | None = None,
    content_type: str = "application/json",
    **headers: str,
) -> Any:
    """Send a request on a connection that belongs to no tenant yet."""
    factories.forget_tenant()
    content = raw if raw is not None else b""
    if body is not None:
        content = json.dumps(body).encode()
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return Client(raise_request_exception=False).generic(
        method,
        path,
        content,
        content_type=content_type,
        headers=(cast.headers(role) if cast else {}) | named,
    )


def upload(cast: factories.Cast, body: Any = None, **how: Any) -> Any:
    """Send an upload as the technician."""
    return call(cast, "POST", "/api/v1/uploads", body, **({"role": "TECHNICIAN"} | how))


def confine(cast: factories.Cast) -> None:
    """Let the test itself see a contractor's rows."""
    tenancy.confine(contractor_id=cast.contractor.pk)


@contextmanager
def without_scope():
    """Take the application's own ring away; only PostgreSQL's is left."""
    from fleet.models import TenantQuerySet

    kept = TenantQuerySet.within
    TenantQuerySet.within = lambda self, scope: self.all()
    try:
        yield
    finally:
        TenantQuerySet.within = kept


def is_problem(answer: Any, status: int, code: str) -> bool:
    """Tell whether an answer is a problem body of this status and code."""
    assert answer.status_code == status, answer.content[:500]
    assert answer["Content-Type"].startswith("application/problem+json"), answer.headers
    body = answer.json()
    assert {"type", "title", "status", "code", "detail"} <= set(body), body
    assert body["status"] == status, body
    assert body["code"] == code, body
    return True


def upload_for_real(cast: factories.Cast, body: Any, **headers: str) -> Any:
    """Send an upload outside any transaction of the test's own."""
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    return Client(raise_request_exception=False).post(
        "/api/v1/uploads",
        json.dumps(body),
        content_type="application/json",
        headers=cast.headers("TECHNICIAN") | named,
    )
