"""Fonts: ISO 19005-2, 6.2.11; ISO 14289-1, 7.21; Matterhorn 10 and 31.

Simple TrueType fonts alone are looked into; any other kind fails.
"""

import re
import struct
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import Opened

SYMBOLIC, NONSYMBOLIC = 4, 32
MAPPED = re.compile(rb"<([0-9A-Fa-f]{2})>\s*<([0-9A-Fa-f]+)>\s*[\r\n]")
PRIVATE = (0xE000, 0xF8FF)


class Face:
    """An embedded TrueType program: widths, and which glyph a code shows."""

    def __init__(self, data: bytes) -> None:
        self.tables: dict[bytes, bytes] = {}
        for n in range(struct.unpack(">H", data[4:6])[0]):
            name, _, start, size = struct.unpack(
                ">4sIII", data[12 + 16 * n : 28 + 16 * n]
            )
            self.tables[name] = data[start : start + size]
        self.units = struct.unpack(">H", self.tables[b"head"][18:20])[0]
        self.metrics = struct.unpack(">H", self.tables[b"hhea"][34:36])[0]
        self.subtables = self._subtables()

    def width(self, glyph: int) -> float:
        at = 4 * min(glyph, self.metrics - 1)
        wide = struct.unpack(">H", self.tables[b"hmtx"][at : at + 2])[0]
        return float(wide * 1000 / self.units)

    def _subtables(self) -> dict[tuple[int, int], dict[int, int]]:
        cmap = self.tables[b"cmap"]
        found = {}
        for n in range(struct.unpack(">H", cmap[2:4])[0]):
            platform, encoding, at = struct.unpack(">HHI", cmap[4 + 8 * n : 12 + 8 * n])
            found[platform, encoding] = glyphs(cmap[at:])
        return found

    def glyph(self, code: int) -> int:
        return next(iter(self.subtables.values())).get(code, 0)


def glyphs(table: bytes) -> dict[int, int]:
    """Return code to glyph of a subtable of format 0 or 6."""
    (form,) = struct.unpack(">H", table[:2])
    if form == 0:
        return dict(enumerate(table[6:262]))
    if form == 6:
        first, count = struct.unpack(">HH", table[6:10])
        listed = struct.unpack(f">{count}H", table[10 : 10 + 2 * count])
        return {first + n: glyph for n, glyph in enumerate(listed)}
    return {}


@lru_cache(maxsize=32)
def face(data: bytes) -> Face:
    return Face(data)


def faces(opened: Opened) -> Iterator[tuple[Any, Face, set[int]]]:
    """Yield each font that shows text, with its program and the codes it shows."""
    for font, codes in opened.fonts.values():
        descriptor = font.get("/FontDescriptor")
        if descriptor is not None and "/FontFile2" in descriptor:
            yield font, face(descriptor.FontFile2.read_bytes()), codes


def unicode_map(font: Any) -> dict[int, str]:
    written = font.ToUnicode.read_bytes() if "/ToUnicode" in font else b""
    inside = b"".join(re.findall(rb"beginbfchar(.*?)endbfchar", written, re.DOTALL))
    return {
        int(code, 16): bytes.fromhex(letters.decode()).decode("utf-16-be", "replace")
        for code, letters in MAPPED.findall(inside)
    }


@rule("6.2.11.2")
def kinds(opened: Opened) -> Iterator[str]:
    for font, codes in opened.fonts.values():
        if str(font.get("/Subtype")) != "/TrueType":
            yield f"a font of kind {font.get('/Subtype')}"
            continue
        first, last = int(font.get("/FirstChar", -1)), int(font.get("/LastChar", -2))
        if len(font.get("/Widths", [])) != last - first + 1:
            yield f"{font.BaseFont} has not as many widths as codes"
        elif codes and not first <= min(codes) <= max(codes) <= last:
            yield f"{font.BaseFont} shows codes beyond its widths"


@rule("6.2.11.4.1, 7.21.4.1, mp 31-009")
def embedded(opened: Opened) -> Iterator[str]:
    for font, _ in opened.fonts.values():
        descriptor = font.get("/FontDescriptor")
        if descriptor is None or "/FontFile2" not in descriptor:
            yield f"{font.get('/BaseFont')} is not embedded"
    for one in opened.done:
        if one.operator in ("Tj", "TJ") and one.font is None:
            yield f"page {one.page + 1} shows text in no font"


@rule("6.2.11.4.2")
def subsets(opened: Opened) -> Iterator[str]:
    for font, _ in opened.fonts.values():
        if not re.match(r"/[A-Z]{6}\+", str(font.get("/BaseFont"))):
            yield f"{font.get('/BaseFont')} has no tag of a subset"


@rule("6.2.11.5, 7.21.5, mp 31-016")
def widths(opened: Opened) -> Iterator[str]:
    for font, program, codes in faces(opened):
        first = int(font.FirstChar)
        for code in codes:
            told = float(font.Widths[code - first])
            if abs(told - program.width(program.glyph(code))) > 1:
                yield f"{font.BaseFont} tells a wrong width of code {code}"


@rule("6.2.11.6, 7.21.6")
def encodings(opened: Opened) -> Iterator[str]:
    for font, program, _ in faces(opened):
        flags = int(font.FontDescriptor.get("/Flags", 0))
        if bool(flags & SYMBOLIC) == bool(flags & NONSYMBOLIC):
            yield f"{font.BaseFont} is not either symbolic or not"
        if flags & SYMBOLIC and "/Encoding" in font:
            yield f"{font.BaseFont} is symbolic and has an encoding"
        if flags & NONSYMBOLIC:
            yield f"{font.BaseFont} is not symbolic, which nothing here looks into"
        if len(program.subtables) != 1 and (3, 0) not in program.subtables:
            yield f"{font.BaseFont} does not say which codes show which glyphs"


@rule("6.2.11.7.2, 7.21.7, mp 10-001, mp 31-027")
def letters(opened: Opened) -> Iterator[str]:
    for font, codes in opened.fonts.values():
        mapped = unicode_map(font)
        if not mapped:
            yield f"{font.get('/BaseFont')} has no map to letters"
        for code, text in mapped.items():
            if not text or any(letter in "\0\ufeff\ufffe\ufffd" for letter in text):
                yield f"{font.BaseFont} maps code {code} to no letter"
        for code in sorted(codes - set(mapped)):
            yield f"{font.get('/BaseFont')} does not say what code {code} means"


@rule("6.2.11.7.3")
def private_letters(opened: Opened) -> Iterator[str]:
    for font, codes in opened.fonts.values():
        for code, text in unicode_map(font).items():
            if code in codes and any(
                PRIVATE[0] <= ord(letter) <= PRIVATE[1] for letter in text
            ):
                yield f"{font.BaseFont} shows a private letter"


@rule("6.2.11.8, 7.21.8, mp 31-030")
def holes(opened: Opened) -> Iterator[str]:
    for font, program, codes in faces(opened):
        for code in codes:
            if not program.glyph(code):
                yield f"{font.BaseFont} shows no glyph for code {code}"
