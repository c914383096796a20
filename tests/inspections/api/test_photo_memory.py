"""What the largest photos that are taken cost in memory, in a process of their own."""

import subprocess
import sys

import pytest
from PIL import Image

from inspections.photos import cleaning
from tests.fleet.installation import ROOT

pytestmark = [
    pytest.mark.processes,
    pytest.mark.skipif(sys.platform != "linux", reason="reads /proc"),
]

MOST_MB = 350
SIDEWAYS = 6

PROGRAM = """
import re, sys
from pathlib import Path
import django
django.setup()
from inspections.photos import cleaning

def most_mb():
    # Of this program alone; what getrusage tells begins with that of its parent.
    status = Path("/proc/self/status").read_text()
    return int(re.search(r"VmHWM:\\s+(\\d+) kB", status)[1]) // 1024

sent = Path(sys.argv[1]).read_bytes()
before = most_mb()
found = cleaning.clean(sent)
print(most_mb() - before, found.width_px, found.height_px)
"""


def noise(size, mode):
    """Return a picture that packs badly, so that coders have to hold it."""
    grey = Image.effect_noise(size, 30)
    return Image.merge(mode, [grey] * len(mode))


def sideways():
    found = Image.Exif()
    found[0x0112] = SIDEWAYS
    return found


# Fault 61.
@pytest.mark.long
@pytest.mark.parametrize(
    ("make", "size", "how"),
    [
        (noise, (5000, 5000), {"format": "JPEG", "progressive": True, "quality": 50}),
        (lambda size, _: Image.new("RGBA", size, (9, 9, 9, 9)), (5000, 5000), {}),
        (noise, (3535, 3535), {"format": "WEBP", "quality": 50}),
        (noise, (2499, 2499), {"format": "WEBP", "quality": 30}),
    ],
    ids=["CMYK", "PNG", "RGB", "RGBA"],
)
def test_the_largest_pictures_are_cleaned_within_the_bound(
    tmp_path, request, make, size, how
):
    mode = request.node.callspec.id
    file = tmp_path / "sent"
    make(size, mode).save(file, **({"format": "PNG"} | how), exif=sideways())
    kind = how.get("format", "PNG")
    most = cleaning.MOST_PIXELS[kind] // (2 if mode == "RGBA" else 1)
    assert 0.99 * most < size[0] * size[1] <= most

    said = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", PROGRAM, str(file)],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
        env={"DJANGO_SETTINGS_MODULE": "fleet.project.settings", "SECRET_KEY": "test"},
    ).stdout
    rise_mb, *found = map(int, said.split())

    assert tuple(found) == size
    # The picture itself: had nothing been decoded, there would be no such rise.
    assert 3 * size[0] * size[1] / 2**20 < rise_mb < MOST_MB


@pytest.mark.parametrize(("mode", "side"), [("RGB", 3540), ("RGBA", 2501)])
def test_a_webp_of_more_pixels_is_refused(tmp_path, mode, side):
    file = tmp_path / "sent"
    # With a colour that is not all opaque, or the file keeps no see-through part.
    Image.new(mode, (side, side), (9, 9, 9, 9)[: len(mode)]).save(file, format="WEBP")

    with pytest.raises(cleaning.TooManyPixels, match="of a WEBP"):
        cleaning.clean(file.read_bytes())
