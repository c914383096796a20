"""What the file says of itself: ISO 19005-2, 6.6; ISO 14289-1, 5; Matterhorn 6, 7."""

import re
from collections.abc import Iterator
from datetime import datetime
from xml.etree import ElementTree

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import Opened

RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
DC = "{http://purl.org/dc/elements/1.1/}"
XMP = "{http://ns.adobe.com/xap/1.0/}"
PDF = "{http://ns.adobe.com/pdf/1.3/}"
A_ID = "{http://www.aiim.org/pdfa/ns/id/}"
UA_ID = "{http://www.aiim.org/pdfua/ns/id/}"
SCHEMA = "{http://www.aiim.org/pdfa/ns/schema#}"
KNOWN = {DC, XMP, PDF, A_ID, "{http://www.aiim.org/pdfa/ns/extension/}"}


def packet(opened: Opened) -> ElementTree.Element | None:
    """Return the metadata as XML; None where they cannot be read."""
    stream = opened.root.get("/Metadata")
    if stream is None:
        return None
    try:
        return ElementTree.fromstring(stream.read_bytes())
    except ElementTree.ParseError:
        return None


def text(told: ElementTree.Element | None, path: str) -> str | None:
    found = told.find(f".//{path}") if told is not None else None
    return None if found is None else found.text


@rule("6.6.2.1, mp 06-001")
def there(opened: Opened) -> Iterator[str]:
    stream = opened.root.get("/Metadata")
    if stream is None:
        yield "the file has no metadata"
        return
    if str(stream.get("/Subtype", "")) != "/XML" or "/Filter" in stream:
        yield "the metadata are no plain XML"
    written = stream.read_bytes()
    if packet(opened) is None:
        yield "the metadata are no well-formed XML"
    head = written.split(b"?>")[0]
    if b"bytes=" in head or b"encoding=" in head:
        yield "the packet says bytes or encoding"


@rule("6.6.2.3")
def schemas(opened: Opened) -> Iterator[str]:
    told = packet(opened)
    if told is None:
        return
    described = {
        "{" + (each.text or "") + "}" for each in told.iter(f"{SCHEMA}namespaceURI")
    }
    for description in told.iter(f"{RDF}Description"):
        for each in description:
            space = each.tag.split("}")[0] + "}"
            if space not in KNOWN | described:
                yield f"{each.tag} belongs to a schema that is not described"


@rule("6.6.3")
def agreement(opened: Opened) -> Iterator[str]:
    told, info = packet(opened), opened.pdf.trailer.get("/Info", {})
    pairs = (
        ("/Title", f"{DC}title/{RDF}Alt/{RDF}li"),
        ("/Author", f"{DC}creator/{RDF}Seq/{RDF}li"),
        ("/Subject", f"{DC}description/{RDF}Alt/{RDF}li"),
        ("/Keywords", f"{PDF}Keywords"),
        ("/Producer", f"{PDF}Producer"),
        ("/Creator", f"{XMP}CreatorTool"),
    )
    for key, path in pairs:
        if key in info and str(info[key]) != (text(told, path) or ""):
            yield f"{key} is told otherwise in the metadata"
    for key, path in (("/CreationDate", "CreateDate"), ("/ModDate", "ModifyDate")):
        written = text(told, f"{XMP}{path}")
        if key in info and (written is None or moment(str(info[key])) != written):
            yield f"{key} is told otherwise in the metadata"


def moment(date: str) -> str:
    """Return a date of PDF as one of XMP."""
    digits = re.sub(r"[D:'Z]", "", date)
    return datetime.strptime(digits, "%Y%m%d%H%M%S%z").isoformat()


@rule("6.6.4")
def archive_mark(opened: Opened) -> Iterator[str]:
    told = packet(opened)
    if (text(told, f"{A_ID}part"), text(told, f"{A_ID}conformance")) != ("2", "A"):
        yield "the file does not say that it is PDF/A-2a"


@rule("7.1, 5, mp 06-002")
def access_mark(opened: Opened) -> Iterator[str]:
    if text(packet(opened), f"{UA_ID}part") != "1":
        yield "the file does not say that it is PDF/UA-1"


@rule("7.1, mp 06-003")
def title(opened: Opened) -> Iterator[str]:
    if not (text(packet(opened), f"{DC}title/{RDF}Alt/{RDF}li") or "").strip():
        yield "the document has no title"


@rule("7.1, mp 07-001, mp 07-002")
def shown_title(opened: Opened) -> Iterator[str]:
    preferences = opened.root.get("/ViewerPreferences", {})
    if not bool(preferences.get("/DisplayDocTitle", False)):
        yield "a reader shows the file's name instead of the title"
