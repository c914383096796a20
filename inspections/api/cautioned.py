"""Every answer with a verdict carries the cautions: in the body, or by a link.

A page of a list or an object has them as `cautions`, once at the top. A file of rows
and a list without pages have no room for them: their header `Link` names the address
where they stand.
"""

import json
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.register.api.exchange import AsItIs
from inspections import cautions

_MARK = "x-cautions"
_SCHEMAS = "#/components/schemas/"
_DESCRIBED = {
    "type": "array",
    "items": {"type": "string"},
    "description": "They go with every verdict and are to be shown with it.",
}


class CautionedSchema(AutoSchema):
    """Marks an operation for `describe_cautions`."""

    def get_extensions(self) -> dict[str, Any]:
        return {**super().get_extensions(), _MARK: True}


class Cautioned(APIView):
    """A view whose answers hold grades, limits, dates or readings."""

    schema = CautionedSchema()

    def finalize_response(
        self, request: Request, response: Response, *args: Any, **kwargs: Any
    ) -> Response:
        """Put the cautions with whatever is answered; a problem is no verdict."""
        if response.status_code < 300:
            _add_to(response)
        return super().finalize_response(request, response, *args, **kwargs)


def _add_to(response: HttpResponseBase) -> None:
    if not isinstance(response, Response) or isinstance(response.data, list):
        name_cautions(response)
    elif isinstance(response.data, dict) and "cautions" not in response.data:
        response.data = {**response.data, "cautions": list(cautions.SHORT)}


def name_cautions(response: HttpResponseBase) -> None:
    """Name in an answer's header where the cautions stand."""
    response["Link"] = f'<{reverse("cautions")}>; rel="describedby"'


class CautionsView(APIView):
    """The cautions that belong to every verdict, for everyone to read."""

    authentication_classes = ()
    permission_classes = ()
    content_negotiation_class = AsItIs

    @extend_schema(responses={(200, "text/plain"): OpenApiTypes.STR}, auth=[])
    def get(self, request: Request) -> HttpResponseBase:
        return HttpResponse(
            cautions.as_text(), content_type="text/plain; charset=utf-8"
        )


def describe_cautions(
    result: dict[str, Any], generator: Any, request: Any, public: bool
) -> dict[str, Any]:
    """Say in the description which answers carry them."""
    schemas = result["components"]["schemas"]
    for operations in result["paths"].values():
        for operation in operations.values():
            if not operation.pop(_MARK, False):
                continue
            for status, response in operation["responses"].items():
                body = response.get("content", {}).get("application/json", {})
                named = body.get("schema", {}).get("$ref")
                if status.startswith("2") and named:
                    name = _with_cautions(schemas, named.removeprefix(_SCHEMAS))
                    body["schema"]["$ref"] = _SCHEMAS + name
    return result


def _with_cautions(schemas: dict[str, Any], name: str) -> str:
    """Return the name of the schema that has the cautions too.

    What stands inside other answers too, a finding in a list, has them only where it
    is the whole answer, and so gets a second schema.
    """
    shape = schemas[name]
    if "cautions" in shape["properties"]:
        return name
    is_inside = f'"{_SCHEMAS}{name}"' in json.dumps(schemas)
    answer = f"{name}Answer" if is_inside else name
    schemas[answer] = {
        **shape,
        "properties": {**shape["properties"], "cautions": _DESCRIBED},
        "required": [*shape.get("required", ()), "cautions"],
    }
    return answer
