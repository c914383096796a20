"""Photos of a machine's last visits, small enough to be kept with the document."""

import base64
from collections.abc import Iterator, Mapping

from django.core.files.storage import default_storage
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections import photos
from inspections.models import VisitPhoto
from reports import content
from reports.composition import words
from reports.composition.reader import Reader
from reports.queries import MachineRecord

# With these a document of a large building stays a file that a mail takes.
MOST_A_MACHINE = 4
MOST_A_DOCUMENT = 24


def of_machine(
    facts: MachineRecord,
    *,
    most: int,
    reader: Reader,
    people: Mapping[int, str],
) -> tuple[content.Photo, ...]:
    """Return the newest photos, at most so many; those that cannot be read are not."""
    chosen = facts.photos[: min(most, MOST_A_MACHINE)]
    return tuple(
        made for photo in chosen for made in _made(photo, reader=reader, people=people)
    )


def note(facts: MachineRecord, shown: int) -> str:
    """Return how many photos stand elsewhere; "" where all are shown."""
    rest = len(facts.photos) - shown
    if not rest:
        return ""
    return ngettext(
        "%(count)s further photo is kept with its visit.",
        "%(count)s further photos are kept with their visits.",
        rest,
    ) % {"count": rest}


def members_of(facts: MachineRecord) -> set[int]:
    """Return the memberships of those who took the photos shown."""
    return {photo.membership_id for photo in facts.photos[:MOST_A_MACHINE]}


def _made(
    photo: VisitPhoto, *, reader: Reader, people: Mapping[int, str]
) -> Iterator[content.Photo]:
    try:
        with default_storage.open(photo.file) as file:
            small = photos.small(file.read())
    except (FileNotFoundError, photos.NotAPhoto):
        return
    taken = _("%(day)s, %(person)s") % {
        "day": reader.day(photo.visit.visited_at),
        "person": people.get(photo.membership_id, _("not known")),
    }
    caption = words.as_entered(photo.caption) or _("without a caption")
    yield content.Photo(
        caption=caption,
        taken=taken,
        jpeg=base64.b64encode(small.content).decode("ascii"),
        width_px=small.width_px,
        height_px=small.height_px,
        sha256=photo.sha256,
        description=_("Photo of %(day)s: %(caption)s")
        % {"day": reader.day(photo.visit.visited_at), "caption": caption},
    )
