"""The file's last step: what archives and readers who hear a document ask of it.

The drawing library leaves out what PDF/A-2 (ISO 19005-2) and PDF/UA-1 (ISO 14289-1) ask
of a file: metadata as XMP, the colour space that its colours are meant in, maps from
letters to Unicode without holes. The marks are set at the very end, on a file that
keeps every rule of ``reports.pdf.rules``. Nobody certifies it: see docs/archive.md.
"""

import logging
import re
from collections.abc import Sequence
from functools import cache
from io import BytesIO
from pathlib import Path

import pikepdf

from reports.pdf import rules
from reports.pdf.described import Described

logger = logging.getLogger(__name__)

_PROFILE = Path(__file__).parent / "profile" / "sRGB.icc"
_CODE = re.compile(rb"<([0-9A-F]{2})> <([0-9A-F]{4,6})>")
_MOST_TOLD = 5
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


def finish(drawn: bytes, *, described: Described) -> bytes:
    """Return the whole file, without a mark; the same bytes for the same drawing."""
    with pikepdf.open(BytesIO(drawn)) as pdf:
        for font in _fonts(pdf):
            _mend_unicode(font)
        pdf.Root.OutputIntents = pikepdf.Array([_output_intent(pdf)])
        return _with_metadata(pdf, described.xmp(is_marked=False))


def mark(finished: bytes, *, described: Described, faults: Sequence[str]) -> bytes:
    """Return the file with the marks of PDF/A and PDF/UA if it keeps every rule.

    The very bytes that carry the marks are checked. If they break one rule, or drawing
    has noticed one of ``faults``, the file stays as it is and the breaches are logged:
    it never claims what it is not.
    """
    with pikepdf.open(BytesIO(finished)) as pdf:
        marked = _with_metadata(pdf, described.xmp(is_marked=True))
    breaches = [*faults, *(f"{each.number}: {each.found}" for each in checked(marked))]
    if not breaches:
        return marked
    logger.warning(
        "no marks of PDF/A and PDF/UA for %s, %d breaches: %s",
        described.keywords,
        len(breaches),
        "; ".join(breaches[:_MOST_TOLD]),
    )
    return finished


def checked(file: bytes) -> list[rules.Fault]:
    """Return what a file breaks; a file that cannot be checked breaks a rule."""
    try:
        return rules.faults(file)
    except Exception as error:  # whatever an odd file makes the rules raise
        return [rules.Fault(number="unchecked", found=repr(error))]


def _with_metadata(pdf: pikepdf.Pdf, packet: bytes) -> bytes:
    xmp = pdf.make_stream(packet)
    xmp.Type, xmp.Subtype = pikepdf.Name.Metadata, pikepdf.Name.XML
    pdf.Root.Metadata = xmp
    saved = BytesIO()
    pdf.save(
        saved,
        deterministic_id=True,
        fix_metadata_version=False,  # the metadata as it is written here
        object_stream_mode=pikepdf.ObjectStreamMode.generate,
    )
    return saved.getvalue()


def _fonts(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    """Return the fonts of the document; all pages share one list of them."""
    listed = pdf.pages[0].obj.Resources.Font
    return [listed[name] for name in sorted(listed.keys())]


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
