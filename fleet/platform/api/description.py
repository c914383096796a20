"""`GET /api/v1/schema`: the API's description, made once in each process."""

import hashlib
from typing import Any

from django.http import HttpResponse, JsonResponse
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView
from rest_framework.request import Request

from fleet.platform.api import errors


class SchemaView(SpectacularAPIView):
    """Open to everyone; in YAML or JSON, as the caller accepts."""

    authentication_classes = []
    permission_classes = []

    @extend_schema(exclude=True)
    def get(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        for name in request.query_params:
            # As JSON: what this view is asked for is no form of a problem.
            detail = f"{name[:40]!r} is not taken here"
            body = errors.problem(status_code=400, code="parse-error", detail=detail)
            return JsonResponse(body, status=400, content_type=errors.CONTENT_TYPE)
        renderer = request.accepted_renderer
        content = written(type(renderer))
        return HttpResponse(
            content,
            content_type=f"{renderer.media_type}; charset=utf-8",
            headers={"ETag": f'"{hashlib.sha256(content).hexdigest()[:32]}"'},
        )


# By the class that writes it.
_written: dict[type[Any], bytes] = {}


def written(renderer: type[Any]) -> bytes:
    """Return the description as this renderer writes it; the same for everyone."""
    if renderer not in _written:
        generator = SchemaView.generator_class()
        described: Any = generator.get_schema(  # type: ignore[no-untyped-call]
            request=None, public=True
        )
        _written[renderer] = renderer().render(described, renderer_context={})
    return _written[renderer]
