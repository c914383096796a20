"""Colours, images and forms: ISO 19005-2, 6.2.2 to 6.2.10."""

from collections.abc import Iterator
from typing import Any

import pikepdf

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import Opened

# ISO 32000-1, annex A, but for Type 3 glyphs and PostScript.
_OPERATORS = """
b B b* B* BDC BI BMC BT c cm CS cs d Do EI EMC ET f F f* G g gs h i ID j J K k l
m M MP DP n q Q re RG rg ri S s SC sc SCN scn sh T* Tc Td TD Tf Tj TJ TL Tm Tr Ts
Tw Tz v w W W* y ' " INLINE IMAGE
"""
OPERATORS = set(_OPERATORS.split())
INTENTS = {
    "/RelativeColorimetric",
    "/AbsoluteColorimetric",
    "/Perceptual",
    "/Saturation",
}
BLENDS = {"/Normal", "/Compatible", "/Multiply", "/Screen", "/Overlay", "/Darken"}
DEEPEST = 28
SPACES = {b"RGB ": 3, b"GRAY": 1, b"CMYK": 4}


@rule("6.2.2")
def operators(opened: Opened) -> Iterator[str]:
    for one in opened.done:
        if one.operator not in OPERATORS:
            yield f"page {one.page + 1} uses the operator {one.operator}"
        if one.saved > DEEPEST or one.saved < 0:
            yield f"page {one.page + 1} saves its state {one.saved} times (6.1.13)"
    for number, page in enumerate(opened.pdf.pages, start=1):
        if "/Resources" not in page.obj:
            yield f"page {number} has no resources of its own"


def intents(opened: Opened) -> list[Any]:
    return [
        each
        for each in opened.root.get("/OutputIntents", [])
        if str(each.get("/S", "")) == "/GTS_PDFA1"
    ]


@rule("6.2.3")
def output_intent(opened: Opened) -> Iterator[str]:
    listed = intents(opened)
    if len(listed) != 1:
        yield f"{len(listed)} intents say what the colours mean"
        return
    if not str(listed[0].get("/OutputConditionIdentifier", "")):
        yield "the intent has no identifier"
    profile = listed[0].get("/DestOutputProfile")
    if profile is None:
        yield "the intent has no profile"
        return
    data = profile.read_bytes()
    if data[36:40] != b"acsp" or data[12:16] not in (b"mntr", b"prtr"):
        yield "the profile is none of a screen or printer"
    if int.from_bytes(data[:4], "big") != len(data) or data[8] > 4:
        yield "the profile's size or version is not what PDF 1.7 takes"
    if SPACES.get(data[16:20]) != int(profile.get("/N", 0)):
        yield "the profile's colour space is not what N says"


@rule("6.2.4.3")
def device_colours(opened: Opened) -> Iterator[str]:
    listed = intents(opened)
    count = int(listed[0].DestOutputProfile.N) if listed else 0
    for one in opened.done:
        if one.operator in ("rg", "RG") and count != 3:
            yield f"page {one.page + 1} has colours of RGB without such a profile"
        if one.operator in ("g", "G") and not count:
            yield f"page {one.page + 1} has greys without a profile"
        if one.operator in ("k", "K") and count != 4:
            yield f"page {one.page + 1} has colours of CMYK without such a profile"
        if one.operator in ("cs", "CS") and str(one.operands[0]) == "/DeviceCMYK":
            yield f"page {one.page + 1} has colours of CMYK"


@rule("6.2.4.4")
def spots(opened: Opened) -> Iterator[str]:
    for each in opened.objects:
        if isinstance(each, pikepdf.Array) and len(each) > 1:
            first = str(each[0]) if isinstance(each[0], pikepdf.Name) else ""
            if first in ("/Separation", "/DeviceN"):
                yield "spot colours, which nothing here looks into"


@rule("6.2.5")
def states(opened: Opened) -> Iterator[str]:
    for each in opened.dictionaries:
        if str(each.get("/Type", "")) != "/ExtGState":
            continue
        if "/TR" in each or "/HTP" in each or "/HT" in each:
            yield "a state has a transfer function or a halftone"
        if str(each.get("/TR2", "/Default")) != "/Default":
            yield "a state has a transfer function"


@rule("6.2.6")
def rendering(opened: Opened) -> Iterator[str]:
    for one in opened.done:
        if one.operator == "ri" and str(one.operands[0]) not in INTENTS:
            yield f"a rendering intent {one.operands[0]}"


@rule("6.2.8")
def images(opened: Opened) -> Iterator[str]:
    for each in opened.dictionaries:
        if str(each.get("/Subtype", "")) == "/Image":
            if "/Alternates" in each or "/OPI" in each:
                yield "an image has others"
            if each.get("/Interpolate", False):
                yield "an image is smoothed"
            if str(each.get("/ColorSpace", "")) == "/DeviceCMYK":
                yield "an image of CMYK (6.2.4.3)"


@rule("6.2.9, mp 30-001")
def xobjects(opened: Opened) -> Iterator[str]:
    for each in opened.dictionaries:
        subtype = str(each.get("/Subtype", ""))
        if subtype == "/PS" or str(each.get("/Subtype2", "")) == "/PS":
            yield "a piece of PostScript"
        if subtype == "/Form" and ("/OPI" in each or "/PS" in each or "/Ref" in each):
            yield "a form refers to something else"


@rule("6.2.10")
def transparency(opened: Opened) -> Iterator[str]:
    for each in opened.dictionaries:
        blend = each.get("/BM")
        if blend is not None and str(blend) not in BLENDS:
            yield f"a blend mode {blend}, which nothing here looks into"
