"""What drf-spectacular cannot see: how callers say who they are, and the problems."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension

PROBLEM = {
    "type": "object",
    "description": "A problem body (RFC 9457); every error of the API is one.",
    "required": ["type", "title", "status", "code", "detail"],
    "properties": {
        "type": {"type": "string", "format": "uri-reference"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "code": {"type": "string", "description": "Stable; meant for programs."},
        "detail": {"type": "string", "description": "Meant for people."},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["pointer", "code", "detail"],
                "properties": {
                    "pointer": {
                        "type": "string",
                        "description": "A JSON pointer (RFC 6901) to the field.",
                    },
                    "code": {"type": "string"},
                    "detail": {"type": "string"},
                },
            },
        },
    },
}

_EVERYWHERE = {
    "400": "The request cannot be understood.",
    "401": "Who you are is not known.",
    "403": "You do not have permission.",
    "406": "No such form of answer is given.",
    "429": "Too many requests; send the same again after Retry-After.",
    "500": "Something went wrong on the server.",
    "503": "The database does not answer; send the same again after Retry-After.",
}
_WITH_AN_ID = {"404": "There is nothing here, or nothing within your reach."}
_WITH_A_BODY = {
    "409": "It does not fit what is stored.",
    "411": "The length of the body is not said: send Content-Length.",
    "413": "The body is too large.",
    "415": "The body is not plain JSON.",
    "422": "Content not accepted.",
}
_OF_FILES = {
    "409": "It is not made yet, or takes too long to wait for.",
    "416": "The file has no such part.",
}
# Marks an operation other than PATCH that asks for If-Match, in `extend_schema`.
NAMES_A_VERSION = "x-names-a-version"
_CHANGING = {
    "412": "It has changed since you read it.",
    "428": "Say which version you change: send If-Match.",
}
_SCHEMAS = "#/components/schemas/"
_ALL = _EVERYWHERE | _WITH_AN_ID | _WITH_A_BODY | _CHANGING | {"416": _OF_FILES["416"]}
_IF_MATCH = {
    "name": "If-Match",
    "in": "header",
    "required": True,
    "schema": {"type": "string"},
    "description": "The ETag of the object as you read it, or *.",
}
_CONTENT_DIGEST = {
    "name": "Content-Digest",
    "in": "header",
    "schema": {"type": "string"},
    "description": "The digest of the body (RFC 9530), as sha-256=:BASE64: or "
    "sha-512=:BASE64:. A body that has another is refused.",
}
_ETAG = {
    "schema": {"type": "string"},
    "description": "The version, for If-Match.",
}


class DeviceTokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "fleet.platform.api.authentication.DeviceToken"
    name = "deviceToken"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "http",
            "scheme": "bearer",
            "bearerFormat": "rseat_<prefix>_<secret>",
            "description": "A device's token, issued by the office, shown once.",
        }


class SessionScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "fleet.platform.api.authentication.Session"
    name = "session"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "apiKey",
            "in": "cookie",
            "name": "__Host-sessionid",
            "description": "Someone who has logged in at /log-in.",
        }


class FieldCookieScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    target_class = "fleet.platform.api.field_cookie.FieldCookie"
    name = "phone"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "apiKey",
            "in": "cookie",
            "name": "__Host-ropeseat_field",
            "description": "A paired phone, from this server's own page, which names "
            "itself in the header Ropeseat-Phone.",
        }


def add_problems(
    result: dict[str, Any], generator: Any, request: Any, public: bool
) -> dict[str, Any]:
    """Give every operation its problem responses and its version headers."""
    components = result.setdefault("components", {})
    components.setdefault("schemas", {})["Problem"] = PROBLEM
    components["responses"] = {
        f"Problem{status}": _response(description)
        for status, description in sorted(_ALL.items())
    }
    _open_anything(components["schemas"])
    _name_plainly(result)
    for path, operations in result["paths"].items():
        if path == "/api/v1/schema":
            continue
        for method, operation in operations.items():
            _complete(operation, method=method, path=path)
    return result


def _name_plainly(result: dict[str, Any]) -> None:
    """Take the underscore from schemas' names: makers of clients cannot use it.

    Raises ValueError if a plain name is taken already.
    """
    schemas = result["components"]["schemas"]
    for name in [name for name in schemas if name.startswith("_")]:
        if name.lstrip("_") in schemas:
            raise ValueError(f"two schemas would be called {name.lstrip('_')}")
        schemas[name.lstrip("_")] = schemas.pop(name)
    _point_plainly(result)


def _point_plainly(found: Any) -> None:
    if isinstance(found, dict):
        if str(found.get("$ref", "")).startswith(f"{_SCHEMAS}_"):
            found["$ref"] = _SCHEMAS + found["$ref"].removeprefix(_SCHEMAS).lstrip("_")
        for inner in found.values():
            _point_plainly(inner)
    elif isinstance(found, list):
        for inner in found:
            _point_plainly(inner)


def _open_anything(schema: Any) -> None:
    """Say "anything" where "either anything or null" is said: null would be both."""
    if isinstance(schema, dict):
        if schema.get("oneOf") == [{}, {"type": "null"}]:
            del schema["oneOf"]
        for inner in schema.values():
            _open_anything(inner)
    elif isinstance(schema, list):
        for inner in schema:
            _open_anything(inner)


def _gives_a_zip(operation: dict[str, Any]) -> bool:
    given = operation.get("responses", {}).get("200", {}).get("content", {})
    return "application/zip" in given


def _complete(operation: dict[str, Any], *, method: str, path: str) -> None:
    problems = dict(_EVERYWHERE)
    if "{" in path or "requestBody" in operation:
        # A body names rows too, which may be out of reach.
        problems |= _WITH_AN_ID
    if "requestBody" in operation:
        operation.setdefault("parameters", []).append(_CONTENT_DIGEST)
    if method == "get" and path.startswith("/api/v1/exports/"):
        in_parts = path.endswith("/file")
        problems |= {s: w for s, w in _OF_FILES.items() if s == "409" or in_parts}
    elif method == "get" and _gives_a_zip(operation):
        problems |= {"409": "There is nothing to hand out now."}
    if method in ("post", "patch", "put"):
        problems |= _WITH_A_BODY
    # Popped: it is for this page only.
    if operation.pop(NAMES_A_VERSION, False) or method == "patch":
        problems |= _CHANGING
        operation.setdefault("parameters", []).append(_IF_MATCH)
        operation["responses"]["200"]["headers"] = {"ETag": _ETAG}
    for status in problems:
        named = {"$ref": f"#/components/responses/Problem{status}"}
        operation["responses"].setdefault(status, named)


def _response(description: str) -> dict[str, Any]:
    schema = {"$ref": "#/components/schemas/Problem"}
    return {
        "description": description,
        "content": {"application/problem+json": {"schema": schema}},
    }
