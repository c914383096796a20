"""A visit's photo into storage and register; the same photo again is the same row."""

import hashlib
from dataclasses import dataclass

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Sum

from fleet.platform import scanning
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import Conflict, NotFound
from fleet.register import quotas
from inspections import queries
from inspections.models import Visit, VisitPhoto
from inspections.photos.cleaning import MEDIA_TYPES, SUFFIXES, clean

MOST_A_VISIT = 60


class TooManyPhotos(Conflict):
    """The visit has as many photos as are kept."""

    code = "too-many-photos"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptPhoto:
    """The photo's row, and whether it was there already."""

    photo: VisitPhoto
    repeated: bool


@transaction.atomic
def keep(*, scope: Scope, visit_id: int, content: bytes, caption: str) -> KeptPhoto:
    """Store a photo clean under a name of our own.

    Of a visit that was moved it is kept where that was made.

    Raises NotFound, NotAPhoto, TooManyPixels, TooManyPhotos, QuotaReached, Malicious,
    ScannerAway.
    """
    if scope.membership_id is None:
        raise ValueError("a photo is sent by someone")
    visit = _locked(scope, visit_id)
    sent = hashlib.sha256(content).hexdigest()
    photos = VisitPhoto.objects.within(scope).filter(visit=visit)
    before = photos.filter(sent_sha256=sent).first()
    if before is not None:
        return KeptPhoto(photo=before, repeated=True)
    if photos.count() >= MOST_A_VISIT:
        raise TooManyPhotos(f"a visit keeps at most {MOST_A_VISIT} photos")
    scanning.check(content)
    found = clean(content)
    _check_quota(scope, more=len(found.content))
    stored = hashlib.sha256(found.content).hexdigest()
    # Named by its content: what a broken-off call left is written over by the next.
    name = f"photos/{scope.contractor_id}/{visit.pk}/{stored}.{SUFFIXES[found.format]}"
    photo = VisitPhoto.objects.create(
        contractor_id=scope.contractor_id,
        visit=visit,
        machine_id=visit.machine_id,
        membership_id=scope.membership_id,
        caption=caption,
        file=default_storage.save(name, ContentFile(found.content)),
        media_type=MEDIA_TYPES[found.format],
        size_bytes=len(found.content),
        width_px=found.width_px,
        height_px=found.height_px,
        sha256=stored,
        sent_sha256=sent,
    )
    return KeptPhoto(photo=photo, repeated=False)


def _locked(scope: Scope, visit_id: int) -> Visit:
    """Return the visit, locked, where it was made by now. Raises NotFound."""
    while True:
        rows = Visit.objects.within(scope).filter(pk=visit_id)
        visit: Visit | None = rows.select_for_update().first()
        if visit is None:
            raise NotFound
        visit_id = queries.visit_where_made(scope=scope, visit_id=visit.pk)
        if visit_id == visit.pk:
            return visit


def bytes_kept(*, scope: Scope) -> int:
    """Return how many bytes all photos of a contractor have."""
    rows = VisitPhoto.objects.filter(contractor_id=scope.contractor_id)
    return rows.aggregate(all=Sum("size_bytes"))["all"] or 0


def _check_quota(scope: Scope, *, more: int) -> None:
    # Summed only where there is a limit: the sum reads all photos.
    if quotas.limit_of(scope=scope, quota="photo_bytes") is not None:
        used = bytes_kept(scope=scope)
        quotas.check(scope=scope, quota="photo_bytes", used=used, more=more)
