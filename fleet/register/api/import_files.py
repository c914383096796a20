"""Files too long to be brought in at once: where they stand, what became of them."""

from typing import Any

from django.urls import reverse
from django.utils import timezone
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.platform.api.permissions import OfficeOnly, scope_of
from fleet.platform.queue import tasks
from fleet.register.api.viewsets import ConfinedReadViewSet
from fleet.register.exchange import import_jobs
from fleet.register.models import ImportFile


class ImportFileOut(serializers.ModelSerializer[ImportFile]):
    """Where a file stands; once `status` is there, so is what became of it."""

    job = serializers.SerializerMethodField()
    answer = serializers.JSONField(
        allow_null=True,
        read_only=True,
        help_text="What the file did, or would do, as it is answered for a short one; "
        "with 422 nothing of it was stored.",
    )

    class Meta:
        model = ImportFile
        fields = (
            "id",
            "name",
            "dry_run",
            "membership_id",
            "created_at",
            "job",
            "status",
            "answer",
            "finished_at",
        )
        read_only_fields = fields

    @extend_schema_field({"type": "integer", "nullable": True})
    def get_job(self, row: ImportFile) -> int | None:
        """Return the job that brings it in, of which /jobs/ID says how far it is."""
        job = import_jobs.job_of(row)
        return None if job is None else job.pk


class ImportFileViewSet(ConfinedReadViewSet):
    """Long files on their way in, and what became of them.

    `parts` of the job are the file's readings, or for the register three: read,
    compared, written. What is answered is forgotten after a while.
    """

    permission_classes = [OfficeOnly]
    queryset = ImportFile.objects.defer("content")
    serializer_class = ImportFileOut
    filterset_fields = {"name": ["exact"], "finished_at": ["isnull"]}


def accepted(request: Request, given: import_jobs.Given) -> Response:
    """Leave a file to a worker, and answer where it will be told of."""
    row, ids = import_jobs.ask(scope=scope_of(request), given=given, now=timezone.now())
    tasks.wake_after_commit(job_ids=ids, kind=import_jobs.BRING_IN)
    body: Any = ImportFileOut(row).data
    return Response(
        body,
        status=202,
        headers={
            "Location": reverse("importfile-detail", args=[row.pk]),
            "Retry-After": "2",
        },
    )
