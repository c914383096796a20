"""Files that a worker makes: asked for, looked at, fetched in parts, removed."""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.urls import reverse
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api import digests, ranges
from fleet.platform.api.confirming import ConfirmedForChanges, RecentlyConfirmed
from fleet.platform.api.fields import StrictSerializer
from fleet.platform.api.permissions import MayTakeOut, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.exchange import TYPE_OF, AsItIs
from fleet.register.api.viewsets import ConfinedReadViewSet
from fleet.register.exchange import everything, export_jobs
from fleet.register.models import ExportFile

_EVERYTHING = OpenApiExample(
    "everything", value={"name": "everything.zip"}, request_only=True
)


class ExportFileIn(StrictSerializer):
    """Which file: a table in one of its forms, or an archive."""

    name = serializers.CharField(max_length=60)

    def validate_name(self, name: str) -> str:
        """Raise ValidationError for a file that is none."""
        if name not in everything.file_names():
            raise serializers.ValidationError("No file of this name can be had.")
        return name


class ExportFileOut(serializers.ModelSerializer[ExportFile]):
    """Where a file stands; it can be fetched once `size_bytes` says how long it is."""

    job = serializers.SerializerMethodField()

    class Meta:
        model = ExportFile
        fields = (
            "id",
            "name",
            "membership_id",
            "created_at",
            "job",
            "finished_at",
            "size_bytes",
            "sha256",
            "expires_at",
            "fetched_at",
            "removed_at",
        )
        read_only_fields = fields

    def get_job(self, export: ExportFile) -> int | None:
        """Return the job that makes it, of which /jobs/ID says how far it is."""
        job = export_jobs.job_of(export)
        return None if job is None else job.pk


class ExportFileViewSet(ConfinedReadViewSet):
    """Files that are made once and fetched as often as the line breaks.

    Everyone sees the own ones, the office who took out what. A file is removed after
    some days, and at once when whoever asked for it is let go.
    """

    http_method_names = ["get", "head", "options", "post"]
    permission_classes = [MayTakeOut, ConfirmedForChanges]
    queryset = ExportFile.objects.all()
    serializer_class = ExportFileOut
    filterset_fields = {
        "name": ["exact"],
        "membership_id": ["exact"],
        "removed_at": ["isnull"],
    }

    @extend_schema(
        request=ExportFileIn, responses={202: ExportFileOut}, examples=[_EVERYTHING]
    )
    def create(self, request: Request) -> Response:
        """Ask for a file; who asks again before it is made gets the same one."""
        asked = ExportFileIn(data=request.data)
        asked.is_valid(raise_exception=True)
        export, ids = export_jobs.ask(
            scope=scope_of(request),
            name=asked.validated_data["name"],
            now=timezone.now(),
        )
        tasks.wake_after_commit(job_ids=ids, kind=export_jobs.WRITE_EXPORT)
        return Response(
            self.get_serializer(export).data,
            status=202,
            headers={
                "Location": reverse("exportfile-detail", args=[export.pk]),
                "Retry-After": "2",
            },
        )

    @extend_schema(
        parameters=[
            OpenApiParameter(
                "Range",
                location=OpenApiParameter.HEADER,
                description="One range, as bytes=1000-; If-Range is the file's ETag.",
            )
        ],
        responses={
            (status, kind): OpenApiTypes.BINARY
            for status in (200, 206)
            for kind in ("application/zip", "text/csv", "application/x-ndjson")
        },
    )
    @action(
        detail=True,
        permission_classes=[MayTakeOut, RecentlyConfirmed],
        filterset_fields={},
        pagination_class=None,
        content_negotiation_class=AsItIs,
    )
    def file(self, request: Request, pk: str) -> HttpResponseBase:
        """The file, or the part of it that Range names."""
        return file_of(self.get_object(), request=request._request)

    @extend_schema(request=None, responses={200: ExportFileOut})
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: str) -> Response:
        """Remove the file now; that it was made stays written down."""
        export = export_jobs.remove(export=self.get_object(), now=timezone.now())
        return Response(self.get_serializer(export).data)


def file_of(export: ExportFile, *, request: HttpRequest) -> HttpResponseBase:
    """Return a file, or the part of it that is asked for. Raises NoFileYet, NotFound.

    Whoever asks has just confirmed who they are.
    """
    export_jobs.note_fetched(export=export, now=timezone.now())
    answer = ranges.answer(
        request=request,
        file=ranges.StoredFile(
            stored_as=export.stored_as,
            size_bytes=export.size_bytes or 0,
            etag=f'"{export.sha256}"',
            content_type=TYPE_OF[export.name.rpartition(".")[2]],
            filename=export.name,
        ),
    )
    answer["Repr-Digest"] = digests.written(sha256=export.sha256)
    answer["Link"] = f'<{reverse("cautions")}>; rel="describedby"'
    answer["Cache-Control"] = "private, no-store"
    return answer
