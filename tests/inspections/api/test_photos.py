"""Photos in: told by content, no flood, no position; and out again, within scope."""

import hashlib
import io
import struct
import zlib

import pytest
from PIL import Image

from inspections.models import Visit, VisitPhoto
from inspections.photos import cleaning
from tests import callers, factories

pytestmark = pytest.mark.django_db

GPS_TAG, ORIENTATION_TAG = 0x8825, 0x0112


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


def picture(kind="JPEG", size=(40, 30), *, exif=None, mode="RGB", **how):
    out = io.BytesIO()
    image = Image.new(mode, size, "red" if mode == "RGB" else 0)
    image.save(out, format=kind, **({"exif": exif} if exif else {}), **how)
    return out.getvalue()


def with_position(orientation=1):
    exif = Image.Exif()
    exif[ORIENTATION_TAG] = orientation
    exif[GPS_TAG] = {1: "N", 2: (38.0, 42.0, 30.0), 3: "W", 4: (9.0, 8.0, 20.0)}
    exif[0x010F] = "CAMERA-CANARY"
    return exif


def visit(cast):
    callers.upload(cast, factories.upload())
    callers.confine(cast)
    return Visit.objects.get().pk


def send(cast, pk, raw, *, kind="jpeg", role="TECHNICIAN", query="", **headers):
    return callers.call(
        cast,
        "POST",
        f"/api/v1/visits/{pk}/photos{query}",
        raw=raw,
        content_type=f"image/{kind}",
        role=role,
        **headers,
    )


def test_no_photo_is_kept_without_the_scanners_word(north, settings, media):
    settings.FILE_SCANNER = f"unix:{media}/nobody"

    answer = send(north, visit(north), picture())

    assert callers.is_problem(answer, 503, "scanner-away")
    callers.confine(north)
    assert not VisitPhoto.objects.exists()


def fetch(cast, pk, role="OFFICE", **headers):
    return callers.call(cast, "GET", f"/api/v1/photos/{pk}/file", role=role, **headers)


def content(answer):
    assert answer.status_code == 200, answer.content
    # The test's client closes the file behind the last piece.
    return b"".join(answer.streaming_content)


# --- in and out -----------------------------------------------------------------------
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_comes_back_as_its_picture(north, kind, media):
    pk = visit(north)

    answer = send(north, pk, picture(kind), kind=kind.lower(), query="?caption=groove")

    assert answer.status_code == 201, answer.content
    body = answer.json()
    assert (body["visit"], body["caption"]) == (pk, "groove")
    assert (body["width_px"], body["height_px"]) == (40, 30)
    assert body["media_type"] == f"image/{kind.lower()}"
    assert "file" not in body
    fetched = fetch(north, body["id"], role="OWNER_READER")
    assert fetched["Content-Type"] == body["media_type"]
    raw = content(fetched)
    assert hashlib.sha256(raw).hexdigest() == body["sha256"]
    assert len(raw) == body["size_bytes"]
    with Image.open(io.BytesIO(raw)) as image:
        assert (image.format, image.size) == (kind, (40, 30))
    listed = callers.call(north, "GET", f"/api/v1/photos?visit={pk}").json()["results"]
    assert listed == [body]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_position_and_camera_are_gone_from_what_is_stored(north, kind, media):
    raw = picture(kind, exif=with_position())
    assert b"CAMERA-CANARY" in raw

    pk = send(north, visit(north), raw + b"TAIL-CANARY", kind=kind.lower()).json()["id"]

    stored = content(fetch(north, pk))
    assert b"CANARY" not in stored
    with Image.open(io.BytesIO(stored)) as image:
        assert dict(image.getexif()) == {}
    for file in media.rglob("*.*"):
        assert b"CANARY" not in file.read_bytes()


def test_a_photo_taken_upright_stays_upright(north):
    # Orientation 6: the camera was held on its side; the picture is turned with it.
    raw = picture(exif=with_position(orientation=6))

    body = send(north, visit(north), raw).json()

    assert (body["width_px"], body["height_px"]) == (30, 40)


def test_comments_and_xmp_are_gone_too(north):
    raw = picture(comment=b"COMMENT-CANARY", xmp=b"<x:xmpmeta>XMP-CANARY</x:xmpmeta>")
    assert raw.count(b"CANARY") == 2

    pk = send(north, visit(north), raw).json()["id"]

    assert b"CANARY" not in content(fetch(north, pk))


def test_the_files_name_is_ours_and_not_the_senders(north, media):
    disposition = 'attachment; filename="../../etc/passwd.php"'

    send(north, visit(north), picture(), Content_Disposition=disposition)

    [file] = [path for path in media.rglob("*") if path.is_file()]
    callers.confine(north)
    photo = VisitPhoto.objects.get()
    assert file.relative_to(media).as_posix() == photo.file
    assert photo.file.startswith(f"photos/{north.contractor.pk}/{photo.visit_id}/")
    assert photo.file.endswith(f"{photo.sha256}.jpg")


def test_the_same_photo_again_is_the_same_photo(north, media):
    pk, raw = visit(north), picture()

    first, again = send(north, pk, raw), send(north, pk, raw)

    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert len([path for path in media.rglob("*") if path.is_file()]) == 1


def test_a_photo_that_has_not_changed_is_not_sent_again(north):
    pk = send(north, visit(north), picture()).json()["id"]
    answer = fetch(north, pk)
    tag = answer["ETag"]
    content(answer)

    again = fetch(north, pk, If_None_Match=tag)

    assert (again.status_code, again.content) == (304, b"")


def test_a_missing_file_is_said_to_be_missing(north, media):
    pk = send(north, visit(north), picture()).json()["id"]
    for path in media.rglob("*.jpg"):
        path.unlink()

    answer = fetch(north, pk)

    assert callers.is_problem(answer, 404, "not-found")
    assert "missing" in answer.json()["detail"]


# --- what is no photo -----------------------------------------------------------------
def flood(width=60_000, height=60_000):
    """Return a PNG of a few bytes whose header announces thousands of megabytes."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", head), (b"IDAT", zlib.compress(b"")), (b"IEND", b"")]
    packed = b"".join(
        struct.pack(">I", len(body))
        + name
        + body
        + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )
    return b"\x89PNG\r\n\x1a\n" + packed


@pytest.mark.parametrize(
    "raw",
    [flood(), flood(5_001, 5_000), flood(20_001, 1)],
    ids=["vast", "large", "long"],
)
def test_a_flood_of_pixels_is_refused_before_it_is_unpacked(north, raw):
    assert len(raw) < 200

    answer = send(north, visit(north), raw, kind="png")

    assert callers.is_problem(answer, 413, "too-many-pixels")


def test_a_telephones_usual_picture_is_no_flood():
    # 24 million pixels, as telephones make them unasked.
    found = cleaning.clean(picture(size=(5712, 4284)))

    assert (found.width_px, found.height_px) == (5712, 4284)


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"\xff\xd8\xff",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"<?php echo 1;",
        b"%PDF-1.7",
        picture()[:-200],
        picture("GIF", mode="L"),
        picture("TIFF"),
        picture("BMP"),
        picture("PNG")[:40],
    ],
)
def test_what_is_no_whole_picture_of_the_three_kinds_is_refused(north, raw):
    answer = send(north, visit(north), raw)

    assert callers.is_problem(answer, 422, "not-a-photo")
    callers.confine(north)
    assert not VisitPhoto.objects.exists()


def test_a_picture_that_moves_is_refused(north):
    out = io.BytesIO()
    frames = [Image.new("RGB", (8, 8), colour) for colour in ("red", "blue")]
    frames[0].save(out, format="WEBP", save_all=True, append_images=frames[1:])

    answer = send(north, visit(north), out.getvalue(), kind="webp")

    assert callers.is_problem(answer, 422, "not-a-photo")


def test_a_body_beyond_the_limit_is_refused(north, settings):
    settings.UPLOAD_MAX_BYTES = 500

    answer = send(north, visit(north), picture(size=(400, 300)) + b"x" * 500)

    assert callers.is_problem(answer, 413, "body-too-large")


@pytest.mark.parametrize("kind", ["gif", "svg+xml", "tiff"])
def test_another_content_type_is_not_taken(north, kind):
    answer = send(north, visit(north), picture(), kind=kind)

    assert callers.is_problem(answer, 415, "unsupported-media-type")


@pytest.mark.parametrize("mode", ["CMYK", "L"])
def test_other_colours_become_a_plain_picture(mode):
    found = cleaning.clean(picture(mode=mode))

    assert (found.format, found.width_px) == ("JPEG", 40)


@pytest.mark.parametrize(
    "query",
    ["?colour=red", "?caption=a&caption=b", "?caption=%00", f"?caption={'x' * 201}"],
)
def test_a_caption_is_one_short_line(north, query):
    answer = send(north, visit(north), picture(), query=query)

    assert callers.is_problem(answer, 400, "parse-error")


def test_a_visit_keeps_so_many_photos_and_no_more(north, monkeypatch):
    monkeypatch.setattr("inspections.photos.keeping.MOST_A_VISIT", 2)
    pk = visit(north)

    answers = [send(north, pk, picture(size=(10 + n, 10))) for n in range(3)]

    assert [answer.status_code for answer in answers] == [201, 201, 409]


# --- who ------------------------------------------------------------------------------
def test_readers_send_none_and_nobody_reaches_anothers(north, south):
    theirs = visit(south)
    photo = send(south, theirs, picture()).json()["id"]

    assert send(north, theirs, picture(), role="OWNER_READER").status_code == 403
    assert send(None, theirs, picture()).status_code == 401
    for role in ("OFFICE", "TECHNICIAN"):
        for pk in (theirs, 10**9):
            answer = send(north, pk, picture(), role=role)
            assert callers.is_problem(answer, 404, "not-found")
        assert callers.is_problem(fetch(north, photo, role), 404, "not-found")
    with callers.without_scope():
        assert callers.is_problem(send(north, theirs, picture()), 404, "not-found")
        assert callers.is_problem(fetch(north, photo), 404, "not-found")
