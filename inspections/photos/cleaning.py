"""A photo as sent -> the same picture with nothing else in it.

The picture is decoded and written anew, so that position, camera, comments, thumbnails
and whatever is hidden behind the picture stay out. Sizes are read from the header
before anything is decoded: a small file can unpack to a very large picture.
"""

import io
import threading
import warnings
from dataclasses import dataclass

from PIL import Image, ImageOps

from fleet.platform.errors import TooLarge, Unprocessable

# What telephones make as they come is up to 25 million. A WebP picture takes more than
# twice the room, for its decoder and encoder keep pictures of their own; a see-through
# one, which no camera makes, twice that again (measured in test_photo_memory.py).
MOST_PIXELS = {"JPEG": 25_000_000, "PNG": 25_000_000, "WEBP": 12_500_000}
LONGEST_SIDE_PX = 20_000
QUALITY = 88
# Pillow's name of the format -> media type and suffix of the file.
MEDIA_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
SUFFIXES = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}
# Rows of a picture that are in hand at once while it is converted.
_STRIP_PX = 256
# One picture at a time in each process: threads would multiply the room it takes.
one_at_a_time = threading.Lock()
_MODES = {"JPEG": ("RGB", "L"), "PNG": ("RGB", "L", "RGBA"), "WEBP": ("RGB", "RGBA")}


class NotAPhoto(Unprocessable):
    """The body is no whole JPEG, PNG or WebP picture."""

    code = "not-a-photo"


class TooManyPixels(TooLarge):
    """The picture has more pixels than are taken."""

    code = "too-many-pixels"


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanPhoto:
    """A picture written anew: its bytes, format and size."""

    content: bytes
    format: str
    width_px: int
    height_px: int


def clean(content: bytes) -> CleanPhoto:
    """Return a photo's picture, upright. Raises NotAPhoto, TooManyPixels.

    The format is told by the content; what a sender says of it is not asked.
    """
    # A warning about a large picture is a refusal here. What catches warnings is no
    # thread's own either.
    with one_at_a_time, warnings.catch_warnings(action="error"):
        try:
            return _clean(content)
        except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
            raise TooManyPixels("more pixels than are taken") from error
        except (NotAPhoto, TooManyPixels):
            raise
        except Exception as error:
            # What a decoder raises on a broken file is not a closed list.
            raise NotAPhoto(
                f"this is no whole JPEG, PNG or WebP picture ({type(error).__name__})"
            ) from error


def _clean(content: bytes) -> CleanPhoto:
    with Image.open(io.BytesIO(content), formats=tuple(MEDIA_TYPES)) as picture:
        found, (width, height) = str(picture.format), picture.size
        most = MOST_PIXELS[found]
        if found == "WEBP" and picture.mode == "RGBA":
            most //= 2
        if width * height > most or max(width, height) > LONGEST_SIDE_PX:
            raise TooManyPixels(
                f"{width} x {height} pixels; at most {most:,} of a {found} and "
                f"{LONGEST_SIDE_PX:,} on a side"
            )
        if getattr(picture, "n_frames", 1) != 1:
            raise NotAPhoto("a picture that moves is not taken")
        picture.load()
        ImageOps.exif_transpose(picture, in_place=True)
        bare = _bare(picture, found)
    out = io.BytesIO()
    # WebP's slower methods keep far more in hand for files a little smaller.
    bare.save(out, format=found, quality=QUALITY, method=2)
    return CleanPhoto(
        content=out.getvalue(),
        format=found,
        width_px=bare.width,
        height_px=bare.height,
    )


def _bare(picture: Image.Image, found: str) -> Image.Image:
    """Return the pixels alone, in a mode that the format can write."""
    modes, wanted = _MODES[found], picture.mode
    if wanted not in modes:
        see_through = "A" in picture.mode or "transparency" in picture.info
        wanted = "RGBA" if see_through and "RGBA" in modes else "RGB"
    bare = Image.new(wanted, picture.size)
    # Strip by strip, so that a converted picture is not held beside the other two.
    for top in range(0, picture.height, _STRIP_PX):
        below = min(top + _STRIP_PX, picture.height)
        strip = picture.crop((0, top, picture.width, below))
        bare.paste(strip if strip.mode == wanted else strip.convert(wanted), (0, top))
    return bare
