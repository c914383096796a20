"""Lists come in pages with a signed cursor, bound to the query and the reader."""

import hashlib
from typing import Any

from django.core import signing
from rest_framework import exceptions
from rest_framework.pagination import BasePagination
from rest_framework.response import Response

MAX_SIZE = 200
DEFAULT_SIZE = 50


class ById(BasePagination):
    """Pages in order of the row's id; the cursor cannot be forged or carried over."""

    def paginate_queryset(self, queryset: Any, request: Any, view: Any = None) -> Any:
        self.request = request
        self.binding = _binding(request)
        size = _page_size(request.query_params.get("page_size"))
        after = _read_cursor(request.query_params.get("cursor"), self.binding)
        rows = list(queryset.order_by("pk").filter(pk__gt=after)[: size + 1])
        self.more = len(rows) > size
        self.last = rows[size - 1].pk if self.more else None
        return rows[:size]

    def get_paginated_response(self, data: Any) -> Response:
        return Response({"next": self._next_address(), "results": data})

    def _next_address(self) -> str | None:
        if not self.more:
            return None
        cursor = signing.dumps([self.binding, self.last], salt="cursor")
        query = self.request.query_params.copy()
        query["cursor"] = cursor
        return str(self.request.build_absolute_uri(f"?{query.urlencode()}"))

    def get_paginated_response_schema(self, schema: dict[str, Any]) -> dict[str, Any]:
        return {
            "type": "object",
            "required": ["next", "results"],
            "properties": {
                "next": {"type": ["string", "null"], "format": "uri"},
                "results": schema,
            },
        }

    def get_schema_operation_parameters(self, view: Any) -> list[dict[str, Any]]:
        return [
            {
                "name": "cursor",
                "in": "query",
                "required": False,
                "description": "From the `next` address of the page before.",
                "schema": {"type": "string"},
            },
            {
                "name": "page_size",
                "in": "query",
                "required": False,
                "description": f"Rows a page, at most {MAX_SIZE}.",
                "schema": {"type": "integer"},
            },
        ]


def _binding(request: Any) -> str:
    """Return a digest of who asks and for what, page places left out."""
    query = sorted(
        (key, value)
        for key, values in request.query_params.lists()
        for value in values
        if key not in ("cursor", "page_size")
    )
    scope = request._request.scope
    text = repr((request.path, query, scope.contractor_id, scope.owner_id))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _read_cursor(cursor: str | None, binding: str) -> int:
    if cursor is None:
        return 0
    try:
        bound_to, last = signing.loads(cursor, salt="cursor")
    except (signing.BadSignature, ValueError, TypeError):
        bound_to, last = None, 0
    if bound_to != binding:
        raise exceptions.ParseError("The cursor does not belong to this list.")
    return int(last)


def _page_size(text: str | None) -> int:
    if text is None:
        return DEFAULT_SIZE
    if not (text.isascii() and text.isdigit()) or int(text[:9]) == 0:
        raise exceptions.ParseError("page_size must be a whole number above zero.")
    return min(int(text[:9]), MAX_SIZE)
