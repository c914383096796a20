"""Gauges and readings in and out as files."""

from typing import Any

from django.conf import settings
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.permissions import scope_of
from fleet.platform.queue import tasks
from fleet.register.api import exchange, import_files
from fleet.register.api.exchange_schema import ErrorOut, FileSchema
from fleet.register.api.viewsets import Confined
from fleet.register.exchange import import_jobs, templates
from inspections import cautions
from inspections.exchange import importing, reading_columns
from inspections.exchange.gauges import GAUGES
from inspections.intake.accepting import ASSESS


class NoticeOut(serializers.Serializer[Any]):
    row = serializers.IntegerField()
    outcome = serializers.CharField()
    warning = serializers.CharField(required=False)
    stop = serializers.CharField(required=False)


class ReadingsAnswer(serializers.Serializer[Any]):
    """What the file does, or would do; `counts` and `visits` by outcome."""

    resource = serializers.CharField()
    stored = serializers.BooleanField()
    rows = serializers.IntegerField()
    counts = serializers.DictField(child=serializers.IntegerField())
    visits = serializers.DictField(child=serializers.IntegerField())
    notices = NoticeOut(many=True)
    notices_not_shown = serializers.IntegerField()
    errors = ErrorOut(many=True)  # type: ignore[assignment]
    stop = serializers.CharField(required=False)
    told = serializers.CharField(required=False)
    cautions = serializers.ListField(child=serializers.CharField())


class GaugesImportView(exchange.ImportView):
    def find(self, name: str) -> Any:
        return GAUGES


class GaugesTemplateView(exchange.TemplateView):
    def find(self, name: str) -> Any:
        return GAUGES


class ReadingsImportView(Confined, APIView):
    """A heap of readings: each by the upload's own rules, and all of them or none."""

    parser_classes = [exchange.CsvParser]
    schema = FileSchema()

    @extend_schema(
        request={"text/csv": OpenApiTypes.STR},
        parameters=exchange.IMPORT_PARAMETERS,
        responses={200: ReadingsAnswer, 202: import_files.ImportFileOut},
    )
    def post(self, request: Request) -> Response:
        form, dry_run = exchange.read_format(request)
        given = import_jobs.Given(
            name="readings",
            content=exchange.body_of(request),
            dialect=form,
            dry_run=dry_run,
        )
        if import_jobs.is_long(given.content):
            return import_files.accepted(request, given)
        outcome = importing.bring_in(
            scope=scope_of(request),
            content=given.content,
            dialect=form,
            dry_run=dry_run,
            received_at=timezone.now(),
            most_at_once=settings.UPLOAD_MAX_READINGS,
        )
        tasks.wake_after_commit(job_ids=outcome.job_ids, kind=ASSESS)
        if outcome.errors and not dry_run:
            return exchange.refusal([error.as_json() for error in outcome.errors])
        return Response({**outcome.as_json(), "cautions": list(cautions.SHORT)})


class ReadingsTemplateView(exchange.TemplateView):
    def packed(self) -> bytes:
        columns = reading_columns.TAKEN
        return templates.archive(
            name="readings",
            example=templates.csv_template(
                columns=reading_columns.COLUMNS, example=reading_columns.EXAMPLE
            ),
            guide=templates.guide(
                name="readings",
                columns=columns,
                key=("machine", "kind"),
                meanings=reading_columns.MEANINGS,
            ),
            at=timezone.now(),
        )
