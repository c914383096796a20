"""Photos of visits: sent as they are, listed, fetched."""

from typing import Any

from django.core.files.storage import default_storage
from django.http import FileResponse
from django.utils.cache import get_conditional_response
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import exceptions, parsers, serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from fleet.platform.api.field_cookie import TAKES_PHONES
from fleet.platform.api.parsers import read_body
from fleet.platform.api.permissions import MayUpload, scope_of
from fleet.platform.errors import NotFound
from fleet.register.api.exchange import AsItIs
from fleet.register.api.viewsets import Confined, ConfinedReadViewSet
from inspections import photos
from inspections.models import VisitPhoto

_LONGEST_CAPTION = 200


class PhotoSerializer(serializers.ModelSerializer[VisitPhoto]):
    """What is known of a photo; its file is fetched by itself."""

    class Meta:
        model = VisitPhoto
        exclude = ("contractor", "version", "file", "sent_sha256")


class _PhotoParser(parsers.BaseParser):
    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        return read_body(stream, parser_context)


class JpegParser(_PhotoParser):
    media_type = "image/jpeg"


class PngParser(_PhotoParser):
    media_type = "image/png"


class WebpParser(_PhotoParser):
    media_type = "image/webp"


class VisitPhotoView(Confined, APIView):
    """Send one photo of a visit; the same photo again is the same photo."""

    authentication_classes = TAKES_PHONES
    permission_classes = [MayUpload]
    parser_classes = [JpegParser, PngParser, WebpParser]

    @extend_schema(
        request=dict.fromkeys(photos.MEDIA_TYPES.values(), OpenApiTypes.BINARY),
        parameters=[
            OpenApiParameter("id", int, OpenApiParameter.PATH),
            OpenApiParameter(
                "caption", str, description=f"At most {_LONGEST_CAPTION} letters."
            ),
        ],
        responses={201: PhotoSerializer, 200: PhotoSerializer},
    )
    def post(self, request: Request, pk: int) -> Response:
        content = request.data if isinstance(request.data, bytes) else b""
        kept = photos.keep(
            scope=scope_of(request),
            visit_id=pk,
            content=content,
            caption=_caption(request),
        )
        return Response(
            PhotoSerializer(kept.photo).data, status=200 if kept.repeated else 201
        )


class PhotoViewSet(ConfinedReadViewSet):
    """Photos of visits."""

    queryset = VisitPhoto.objects.all()
    serializer_class = PhotoSerializer
    filterset_fields = {"visit": ["exact"], "machine": ["exact"]}

    @extend_schema(
        responses={
            (200, name): OpenApiTypes.BINARY for name in photos.MEDIA_TYPES.values()
        }
    )
    @action(
        detail=True,
        filter_backends=[],
        pagination_class=None,
        content_negotiation_class=AsItIs,
    )
    def file(self, request: Request, pk: str | None = None) -> Any:
        """The picture itself."""
        photo = self.get_object()
        tag = f'"{photo.sha256}"'
        unchanged = get_conditional_response(request._request, etag=tag)
        if unchanged is not None:
            unchanged["ETag"] = tag
            return unchanged
        try:
            opened = default_storage.open(photo.file)
        except FileNotFoundError as error:
            raise NotFound("the photo's file is missing") from error
        suffix = photo.file.rpartition(".")[2]
        return FileResponse(
            opened,
            content_type=photo.media_type,
            filename=f"visit-{photo.visit_id}-photo-{photo.pk}.{suffix}",
            headers={"ETag": tag, "Cache-Control": "private"},
        )


def _caption(request: Request) -> str:
    """Return the caption of a photo. Raises ParseError for any other parameter."""
    for name, values in request.query_params.lists():
        if name != "caption" or len(values) != 1:
            raise exceptions.ParseError(f"{name[:40]!r} is not taken here, or twice")
    found = request.query_params.get("caption", "")
    if len(found) > _LONGEST_CAPTION or not found.isprintable():
        raise exceptions.ParseError(
            f"caption is one line of at most {_LONGEST_CAPTION} letters"
        )
    return found
