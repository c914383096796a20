"""The file's last step: what archives and readers who hear a document ask of it.

The drawing library leaves out what PDF/A-2 (ISO 19005-2) and PDF/UA-1 (ISO 14289-1) ask
of a file: metadata as XMP, the colour space that its colours are meant in, maps from
letters to Unicode without holes. The file is not certified by anybody; which rules our
tests check stands in docs/archive.md.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cache
from io import BytesIO
from pathlib import Path

import pikepdf

from reports.pdf.described import Described

_PROFILE = Path(__file__).parent / "profile" / "sRGB.icc"
_CODE = re.compile(rb"<([0-9A-F]{2})> <([0-9A-F]{4,6})>")
_MOST_IN_A_BLOCK = 100  # Adobe Technical Note #5411
_UNICODE_MAP = """/CIDInit /ProcSet findresource begin
12 dict begin
begincmap
/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def
/CMapName /Adobe-Identity-UCS def
/CMapType 2 def
1 begincodespacerange
<00> <FF>
endcodespacerange
{blocks}
endcmap
CMapName currentdict /CMap defineresource pop
end
end
"""


def finish(drawn: bytes, *, described: Described, faults: Sequence[str]) -> bytes:
    """Return the whole file; the same bytes for the same drawing.

    ``faults`` are what drawing has noticed. With one of them, or one that is noticed
    here, the file carries no mark of PDF/A or PDF/UA: it never claims what it is not.
    """
    with pikepdf.open(BytesIO(drawn)) as pdf:
        fonts = _fonts(pdf)
        for font in fonts:
            _mend_unicode(font)
        noticed = [*faults, *_faults(fonts, described)]
        pdf.Root.OutputIntents = pikepdf.Array([_output_intent(pdf)])
        xmp = pdf.make_stream(described.xmp(is_marked=not noticed))
        xmp.Type, xmp.Subtype = pikepdf.Name.Metadata, pikepdf.Name.XML
        pdf.Root.Metadata = xmp
        finished = BytesIO()
        pdf.save(
            finished,
            deterministic_id=True,
            fix_metadata_version=False,  # the metadata as it is written here
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
        )
    return finished.getvalue()


def _fonts(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    """Return the fonts of the document; all pages share one list of them."""
    listed = pdf.pages[0].obj.Resources.Font
    return [listed[name] for name in sorted(listed.keys())]


def _faults(fonts: Sequence[pikepdf.Object], described: Described) -> Iterator[str]:
    if not described.language.strip():
        yield "the document has no language"
    for font in fonts:
        descriptor = font.get("/FontDescriptor")
        if descriptor is None or "/FontFile2" not in descriptor:
            yield f"the font {font.BaseFont} is not embedded"
        elif "/ToUnicode" not in font:
            yield f"the font {font.BaseFont} has no map to Unicode"


def _mend_unicode(font: pikepdf.Object) -> None:
    """Map a font's codes to letters only, letters beyond U+FFFF as they are written.

    The library maps code 0, which no text uses, to U+0000 (ISO 19005-2, 6.2.11.7.2).
    """
    if "/ToUnicode" not in font:
        return
    written = font.ToUnicode.read_bytes()
    pairs = [
        f"<{code.decode()}> <{chr(int(letter, 16)).encode('utf-16-be').hex().upper()}>"
        for code, letter in _CODE.findall(written)
        if int(letter, 16)
    ]
    blocks = (
        pairs[start : start + _MOST_IN_A_BLOCK]
        for start in range(0, len(pairs), _MOST_IN_A_BLOCK)
    )
    mapped = "\n".join(
        "\n".join((f"{len(block)} beginbfchar", *block, "endbfchar"))
        for block in blocks
    )
    font.ToUnicode.write(_UNICODE_MAP.format(blocks=mapped).encode("ascii"))


def _output_intent(pdf: pikepdf.Pdf) -> pikepdf.Dictionary:
    """Return what the colours of the file mean: sRGB (ISO 19005-2, 6.2.3)."""
    profile = pdf.make_stream(_profile())
    profile.N = 3
    return pikepdf.Dictionary(
        Type=pikepdf.Name.OutputIntent,
        S=pikepdf.Name.GTS_PDFA1,
        OutputConditionIdentifier=pikepdf.String("sRGB"),
        Info=pikepdf.String("sRGB, IEC 61966-2-1"),
        DestOutputProfile=pdf.make_indirect(profile),
    )


@cache
def _profile() -> bytes:
    return _PROFILE.read_bytes()
