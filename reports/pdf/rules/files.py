"""The file itself: ISO 19005-2, 6.1, 6.5, 6.8 to 6.11."""

import re
from collections.abc import Iterator
from typing import Any

import pikepdf

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import Opened

LONGEST_STRING, LONGEST_NAME = 32767, 127
LARGEST = 2**31 - 1
SHORTEST_SIDE, LONGEST_SIDE = 3, 14400
ALLOWED_ACTIONS = {
    "/GoTo",
    "/GoToR",
    "/GoToE",
    "/Thread",
    "/URI",
    "/Named",
    "/SubmitForm",
}
STREAM = re.compile(rb"/Length (\d+)(?:[^\n]{0,200}?|\n)>>\s*?stream(\r\n|\n)?")


@rule("6.1.2")
def header(opened: Opened) -> Iterator[str]:
    if not re.match(rb"%PDF-1\.[0-7](\r\n|\n|\r)%[\x80-\xff]{4}", opened.raw):
        yield "the file does not begin with its version and four bytes above 127"


@rule("6.1.3")
def trailer(opened: Opened) -> Iterator[str]:
    if "/ID" not in opened.pdf.trailer:
        yield "the trailer has no ID"
    if not re.search(rb"%%EOF(\r\n|\n|\r)?\Z", opened.raw):
        yield "something stands after the end of the file"


@rule("6.1.3, mp 26-001: not encrypted")
def encryption(opened: Opened) -> Iterator[str]:
    if "/Encrypt" in opened.pdf.trailer:
        yield "the file is encrypted"


@rule("6.1.7.1")
def streams(opened: Opened) -> Iterator[str]:
    seen = 0
    for match in STREAM.finditer(opened.raw):
        seen += 1
        if match[2] is None:
            yield "the word stream is not followed by an end of line"
        end = match.end() + int(match[1])
        if not re.match(rb"(\r\n|\n|\r)endstream", opened.raw[end : end + 12]):
            yield f"a stream of {match[1].decode()} bytes does not end where it says"
    held = sum(isinstance(each, pikepdf.Stream) for each in opened.objects)
    if seen < held:
        yield f"{held - seen} streams were not understood"


@rule("6.1.7.1: nothing outside of the file")
def outside(opened: Opened) -> Iterator[str]:
    for each in opened.objects:
        if isinstance(each, pikepdf.Stream):
            for key in ("/F", "/FFilter", "/FDecodeParms"):
                if key in each:
                    yield f"a stream has {key}"


@rule("6.1.9")
def objects(opened: Opened) -> Iterator[str]:
    for match in re.finditer(rb"[\r\n]\d+( +)\d+( +)obj(.)", opened.raw, re.DOTALL):
        if match[1] != b" " or match[2] != b" " or match[3] not in b"\r\n":
            yield f"an object begins with {match[0]!r}"


@rule("6.1.7.2")
def filters(opened: Opened) -> Iterator[str]:
    for each in opened.objects:
        if isinstance(each, pikepdf.Stream):
            named: Any = each.get("/Filter", [])
            names = [named] if isinstance(named, pikepdf.Name) else list(named)
            for name in names:
                if str(name) in ("/LZWDecode", "/Crypt"):
                    yield f"a stream is filtered by {name}"


@rule("6.1.13")
def limits(opened: Opened) -> Iterator[str]:
    def told(value: object) -> Iterator[str]:
        if isinstance(value, pikepdf.String) and len(bytes(value)) > LONGEST_STRING:
            yield "a string is too long"
        elif isinstance(value, pikepdf.Name) and len(str(value)) - 1 > LONGEST_NAME:
            yield "a name is too long"
        elif isinstance(value, int) and abs(value) > LARGEST:
            yield f"{value} is too large"

    for each in opened.dictionaries:
        for key, value in each.items():
            yield from told(pikepdf.Name(key))
            inner = list(value) if isinstance(value, pikepdf.Array) else [value]
            for item in inner:
                yield from told(item)
    for page in opened.pdf.pages:
        box = [float(side) for side in page.mediabox]
        for side in (box[2] - box[0], box[3] - box[1]):
            if not SHORTEST_SIDE <= side <= LONGEST_SIDE:
                yield f"a page has a side of {side}"


@rule("6.5.1")
def actions(opened: Opened) -> Iterator[str]:
    for each in opened.dictionaries:
        is_action = str(each.get("/Type", "")) == "/Action"
        if is_action and str(each.get("/S", "")) not in ALLOWED_ACTIONS:
            yield f"an action {each.get('/S')}"
        if str(each.get("/S", "")) in ("/JavaScript", "/Launch"):
            yield f"an action {each.S}"


@rule("6.5.2")
def triggers(opened: Opened) -> Iterator[str]:
    for each in (opened.root, *(page.obj for page in opened.pdf.pages)):
        if "/AA" in each:
            yield "an action of the document or a page acts by itself"


@rule("6.4.2, mp 25-001")
def forms(opened: Opened) -> Iterator[str]:
    form = opened.root.get("/AcroForm")
    if form is not None:
        if "/XFA" in form:
            yield "a form of XFA"
        if form.get("/NeedAppearances", False):
            yield "a form leaves its looks to the reader"
    if opened.root.get("/NeedsRendering", False):
        yield "the document asks to be rendered"


@rule("6.8, mp 21-001")
def attachments(opened: Opened) -> Iterator[str]:
    names = opened.root.get("/Names", {})
    if "/EmbeddedFiles" in names or any("/EF" in each for each in opened.dictionaries):
        yield "a file is attached: PDF/A-2 takes PDF/A alone, ours attach nothing"


@rule("6.9, mp 20-001")
def layers(opened: Opened) -> Iterator[str]:
    if "/OCProperties" in opened.root:
        yield "the document has layers, which nothing here looks into"


@rule("6.10")
def presentations(opened: Opened) -> Iterator[str]:
    if "/AlternatePresentations" in opened.root.get("/Names", {}):
        yield "the document has other presentations"
    if any("/PresSteps" in page.obj for page in opened.pdf.pages):
        yield "a page has steps"


@rule("6.11")
def requirements(opened: Opened) -> Iterator[str]:
    if "/Requirements" in opened.root:
        yield "the document asks for abilities of its reader"
