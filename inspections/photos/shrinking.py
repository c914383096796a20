"""A stored photo -> a small JPEG for paper, within bounds of memory and size."""

import io
import warnings
from dataclasses import dataclass

from PIL import Image, ImageOps

from inspections.photos.cleaning import MEDIA_TYPES, NotAPhoto, one_at_a_time

LONGEST_SIDE_PX = 800
MOST_BYTES = 60_000
# Tried one after another until the file is small enough; the last one is a quarter.
_QUALITIES = (80, 65, 50, 35)
_SMALLER = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallPhoto:
    """A picture for paper: an upright RGB JPEG and its size."""

    content: bytes
    width_px: int
    height_px: int


def small(content: bytes) -> SmallPhoto:
    """Return a photo scaled down, upright, without anything but its picture.

    A JPEG is decoded at a fraction of its size already, so that a large one takes no
    more room than it needs. Raises NotAPhoto.
    """
    with one_at_a_time, warnings.catch_warnings(action="error"):
        try:
            picture = _scaled(content)
        except Exception as error:
            raise NotAPhoto(
                f"this is no whole picture ({type(error).__name__})"
            ) from error
    drawn = b""
    while True:
        for quality in _QUALITIES:
            out = io.BytesIO()
            picture.save(out, format="JPEG", quality=quality, optimize=True)
            drawn = out.getvalue()
            if len(drawn) <= MOST_BYTES:
                return SmallPhoto(
                    content=drawn, width_px=picture.width, height_px=picture.height
                )
        size = tuple(max(side // _SMALLER, 1) for side in picture.size)
        picture = picture.resize((size[0], size[1]))


def _scaled(content: bytes) -> Image.Image:
    with Image.open(io.BytesIO(content), formats=tuple(MEDIA_TYPES)) as picture:
        picture.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        upright = ImageOps.exif_transpose(picture)
        if "A" in upright.getbands() or "transparency" in upright.info:
            seen = upright.convert("RGBA")
            paper = Image.new("RGB", seen.size, "white")
            paper.paste(seen, mask=seen.getchannel("A"))
            return paper
        return upright.convert("RGB")
