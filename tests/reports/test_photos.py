"""Photos of visits stand in the annex: small, upright, named, and as many as fit."""

import base64
import io
from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader

from inspections import photos
from inspections.models import Visit
from reports import content
from reports.composition import photos as composed_photos
from reports.pdf import document
from tests.reports.composition.test_documents import composed
from tests.reports.machine_readings import readings
from tests.reports.orders import asked


def picture(size, mode="RGB", form="JPEG", **named):
    noise = Image.effect_noise(size, 90).convert(mode)
    out = io.BytesIO()
    noise.save(out, format=form, **named)
    return out.getvalue()


def opened(small):
    return Image.open(io.BytesIO(small.content))


@pytest.mark.parametrize("size", [(4000, 3000), (900, 6000), (40, 30)])
def test_a_photo_for_paper_is_small_whatever_it_was(size):
    small = photos.small(picture(size))

    assert len(small.content) <= 60_000
    assert max(small.width_px, small.height_px) <= 800
    assert opened(small).mode == "RGB"
    ratio = small.width_px / small.height_px
    assert ratio == pytest.approx(size[0] / size[1], rel=0.02)


def test_a_photo_for_paper_is_upright_and_says_nothing_else():
    turned = Image.new("RGB", (200, 100), "red")
    marks = turned.getexif()
    marks[0x0112], marks[0x010E] = 6, "where it was taken"
    out = io.BytesIO()
    turned.save(out, format="JPEG", exif=marks)

    small = photos.small(out.getvalue())

    assert (small.width_px, small.height_px) == (100, 200)
    assert not opened(small).getexif()


def test_what_is_see_through_is_white_on_paper():
    clear = Image.new("RGBA", (60, 40), (0, 0, 0, 0))
    out = io.BytesIO()
    clear.save(out, format="PNG")

    assert min(opened(photos.small(out.getvalue())).getpixel((30, 20))) > 250


def test_what_is_no_picture_is_refused():
    with pytest.raises(photos.NotAPhoto):
        photos.small(b"no picture at all")


@pytest.mark.django_db
def test_photos_stand_in_the_annex_with_caption_day_and_who_took_them(north):
    readings(north)
    scope = north.scope(role="TECHNICIAN")
    visit = Visit.objects.order_by("-visited_at").first()
    for number in range(6):
        photos.keep(
            scope=scope,
            visit_id=visit.pk,
            content=picture((60 + number, 40)),
            caption=f"slot of groove {number}",
        )

    frozen = composed(north, asked(north))

    page = frozen.machines[0]
    assert [p.caption for p in page.photos] == [f"slot of groove {n}" for n in range(4)]
    assert page.photos_note == "2 further photos are kept with their visits."
    assert page.photos[0].taken.startswith("4 May 2026, ")
    assert base64.b64decode(page.photos[0].jpeg)[:2] == b"\xff\xd8"
    again = content.from_json(content.to_json(frozen))
    drawn = document.draw(document=again)
    assert drawn == document.draw(document=frozen)
    pages = PdfReader(BytesIO(drawn)).pages
    assert sum(len(each.images) for each in pages) == 4
    assert "slot of groove 3" in "".join(each.extract_text() for each in pages)


@pytest.mark.django_db
def test_a_photo_whose_file_is_gone_is_counted_and_not_drawn(north):
    readings(north)
    scope = north.scope(role="TECHNICIAN")
    visit = Visit.objects.order_by("-visited_at").first()
    kept = photos.keep(
        scope=scope, visit_id=visit.pk, content=picture((60, 40)), caption=""
    )
    composed_photos.default_storage.delete(kept.photo.file)

    page = composed(north, asked(north)).machines[0]

    assert page.photos == ()
    assert page.photos_note == "1 further photo is kept with its visit."
