"""The register in and out as files."""

from typing import Any

from django.conf import settings
from django.http import HttpResponse, StreamingHttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import parse_header_parameters
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions, negotiation, parsers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api import errors
from fleet.platform.api.confirming import RecentlyConfirmed
from fleet.platform.api.parsers import read_body
from fleet.platform.api.permissions import MemberOnly, scope_of
from fleet.platform.queue import tasks
from fleet.register import quotas
from fleet.register.api import import_files
from fleet.register.api.exchange_schema import FileSchema, ImportAnswer
from fleet.register.api.viewsets import Confined
from fleet.register.exchange import (
    dialect,
    everything,
    import_jobs,
    importing,
    templates,
)
from fleet.register.exchange.dialect import Dialect
from fleet.register.exchange.outcome import FileOutcome
from fleet.register.exchange.register import RESOURCES

_FORMAT = {
    "delimiter": tuple(dialect.DELIMITERS),
    "decimal_mark": tuple(dialect.DECIMAL_MARKS),
    "encoding": dialect.ENCODINGS,
    "dates": tuple(dialect.DATES),
}
FORMAT_PARAMETERS = [
    OpenApiParameter(
        name,
        enum=list(taken),
        # No `default`: clients made from the description would send it with JSON too.
        description=(
            "How a file is written; nothing is guessed. "
            f"Where it is left out: {taken[0]}."
        ),
    )
    for name, taken in _FORMAT.items()
]
IMPORT_PARAMETERS = [
    OpenApiParameter(
        "dry_run",
        enum=["true", "false"],
        default="true",
        description="Only what would happen is said, unless this is false.",
    ),
    *FORMAT_PARAMETERS,
]


class CsvParser(parsers.BaseParser):
    """The file as it came; how it is to be read is said by the query."""

    media_type = "text/csv"

    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        return read_body(stream, parser_context)


class AsItIs(negotiation.DefaultContentNegotiation):
    """A file has one form; whatever the caller accepts, errors are JSON."""

    def select_renderer(
        self, request: Any, renderers: Any, format_suffix: Any = None
    ) -> Any:
        return renderers[0], renderers[0].media_type


class ImportView(Confined, APIView):
    """A file of the register: first a look, then all or nothing.

    One of more than `IMPORT_ROWS_AT_ONCE` lines is brought in by a worker: the answer
    is 202 with the address of its row, which says later what became of it.
    """

    resource = ""
    parser_classes = [CsvParser]
    schema = FileSchema()

    @extend_schema(
        request={"text/csv": OpenApiTypes.STR},
        parameters=IMPORT_PARAMETERS,
        responses={200: ImportAnswer, 202: import_files.ImportFileOut},
    )
    def post(self, request: Request) -> Response:
        form, dry_run = read_format(request)
        given = import_jobs.Given(
            name=self.resource,
            content=body_of(request),
            dialect=form,
            dry_run=dry_run,
        )
        if import_jobs.is_long(given.content):
            return import_files.accepted(request, given)
        scope = scope_of(request)
        file = importing.File(resource=self.find(self.resource), content=given.content)
        with quotas.on_machines(scope=scope):
            outcomes = importing.bring_in(
                scope=scope, files=[file], dialect=form, dry_run=dry_run
            )
        ids = importing.reassess(
            scope=scope,
            outcomes=outcomes,
            kind=settings.REGISTER_CHANGE_JOB,
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=ids, kind=settings.REGISTER_CHANGE_JOB)
        return answer(outcomes[0], dry_run=dry_run)

    def find(self, name: str) -> Any:
        return RESOURCES[name]


class TemplateView(Confined, APIView):
    """A header with an example, and a page on what each column means."""

    resource = ""
    content_negotiation_class = AsItIs
    schema = FileSchema()

    @extend_schema(responses={(200, "application/zip"): OpenApiTypes.BINARY})
    def get(self, request: Request) -> Any:
        no_parameters(request)
        return _file(HttpResponse(self.packed()), f"{self.resource}-template.zip")

    def packed(self) -> bytes:
        """Return the example and the guide as a ZIP file."""
        return templates.of_resource(
            resource=self.find(self.resource), at=timezone.now()
        )

    def find(self, name: str) -> Any:
        return RESOURCES[name]


class ExportView(Confined, APIView):
    """Everything of a kind that the caller may see, whole or not at all."""

    permission_classes = [MemberOnly, RecentlyConfirmed]
    resource = ""
    content_negotiation_class = AsItIs
    schema = FileSchema()

    def get(self, request: Request) -> Any:
        no_parameters(request)
        suffix = self.resource.rpartition(".")[2]
        pieces = everything.pieces(
            name=self.resource, scope=scope_of(request), at=timezone.now()
        )
        answer = StreamingHttpResponse(pieces)
        # Seen by the middleware that makes it whole (`fleet/platform/api/whole.py`).
        answer.goes_out_whole = pieces  # type: ignore[attr-defined]
        # A row has no room for them.
        answer["Link"] = f'<{reverse("cautions")}>; rel="describedby"'
        return _file(answer, self.resource, TYPE_OF[suffix])


TYPE_OF = {
    "csv": "text/csv; charset=utf-8; header=present",
    "jsonl": "application/x-ndjson",
    "zip": "application/zip",
}


def read_format(request: Request) -> tuple[Dialect, bool]:
    """Return the declared format, and whether it is a dry run.

    Raises ParseError and UnknownFormat.
    """
    form, others = read_dialect(request, also=("dry_run",))
    dry_run = others.get("dry_run", "true")
    if dry_run not in ("true", "false"):
        raise exceptions.ParseError("dry_run is true or false")
    return form, dry_run == "true"


def read_dialect(
    request: Request, *, also: tuple[str, ...] = ()
) -> tuple[Dialect, dict[str, str]]:
    """Return the format that the query declares, and its other parameters.

    Raises ParseError and UnknownFormat.
    """
    taken = (*_FORMAT, *also)
    found = {}
    for name, values in request.query_params.lists():
        if name not in taken or len(values) != 1:
            raise exceptions.ParseError(
                f"{name[:40]!r} is not taken here, or stands twice; use "
                f"{', '.join(taken)}"
            )
        found[name] = values[0]
    others = {name: found.pop(name) for name in also if name in found}
    form = dialect.declared(**found)
    charset = parse_header_parameters(request.content_type or "")[1].get("charset")
    if charset and charset.lower() != form.encoding.removesuffix("-sig"):
        raise exceptions.ParseError(
            f"the header says charset {charset[:20]!r}, the query {form.encoding}"
        )
    return form, others


def body_of(request: Request) -> bytes:
    """Return the file; an empty body is an empty file."""
    return request.data if isinstance(request.data, bytes) else b""


def no_parameters(request: Request) -> None:
    """Raise ParseError for a parameter of the address: none is taken here."""
    for name in request.query_params:
        raise exceptions.ParseError(f"{name[:40]!r} is not taken here")


def answer(outcome: FileOutcome, *, dry_run: bool) -> Response:
    """Return what a file does; a file with faults is refused, unless only looked at."""
    if dry_run or not outcome.errors:
        return Response(outcome.as_json())
    return refusal([error.as_json() for error in outcome.errors])


def refusal(found: list[dict[str, Any]]) -> Response:
    """Return the problem of a file with faults; nothing of it was stored."""
    body = errors.problem(
        status_code=422,
        code="rows-refused",
        detail=f"{len(found)} faults; nothing was stored",
        errors=found,
    )
    return Response(body, status=422, content_type=errors.CONTENT_TYPE)


def _file(answer: Any, name: str, content_type: str = "application/zip") -> Any:
    answer["Content-Type"] = content_type
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["X-Content-Type-Options"] = "nosniff"
    return answer
