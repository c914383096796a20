"""The structure: ISO 19005-2, 6.7; ISO 14289-1, 7.1 to 7.9; Matterhorn 2, 9 to 19."""

import re
from collections.abc import Iterator
from itertools import pairwise

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import Opened

# ISO 32000-1, 14.8.4.
_STANDARD = """
Document Part Art Sect Div BlockQuote Caption TOC TOCI Index NonStruct Private P
H H1 H2 H3 H4 H5 H6 L LI Lbl LBody Table TR TH TD THead TBody TFoot Span Quote
Note Reference BibEntry Code Link Annot Ruby RB RT RP Warichu WT WP Figure
Formula Form
"""
STANDARD = set(_STANDARD.split())
HEADING = re.compile(r"/H[1-6]")
# ISO 14289-1, 7.2: what holds what; only what our documents use.
HELD_BY = {
    "/TR": {"/Table", "/THead", "/TBody", "/TFoot"},
    "/TH": {"/TR"},
    "/TD": {"/TR"},
    "/LI": {"/L"},
    "/Lbl": {"/LI"},
    "/LBody": {"/LI"},
}
HOLDS = {
    "/Table": {"/TR", "/THead", "/TBody", "/TFoot", "/Caption"},
    "/TR": {"/TH", "/TD"},
    "/L": {"/LI", "/L", "/Caption"},
    "/LI": {"/Lbl", "/LBody"},
}
# BCP 47, as far as our documents go: a language and a region.
LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Z][a-z]{3})?(-([A-Z]{2}|\d{3}))?")


@rule("6.7.2.2, 6.2")
def marked(opened: Opened) -> Iterator[str]:
    if not opened.root.get("/MarkInfo", {}).get("/Marked", False):
        yield "the file does not say that it is tagged"


@rule("6.7.3.3, 7.1")
def tree(opened: Opened) -> Iterator[str]:
    if not opened.nodes:
        yield "the file has no structure"
    for node in opened.nodes:
        held = node.parent.obj if node.parent else opened.root.StructTreeRoot
        if node.obj.get("/P") is None or node.obj.P.objgen != held.objgen:
            yield f"{node.role} does not name its parent"


@rule("6.7.3.4, 7.1, mp 02-001, mp 02-003, mp 02-004")
def roles(opened: Opened) -> Iterator[str]:
    mapped = opened.root.get("/StructTreeRoot", {}).get("/RoleMap", {})
    if len(mapped.keys() if mapped else ()):
        yield "roles are mapped, which nothing here looks into"
    for node in opened.nodes:
        if node.role[1:] not in STANDARD:
            yield f"{node.role} is no standard role"


@rule("7.2, mp 09-004, mp 09-005")
def nesting(opened: Opened) -> Iterator[str]:
    for node in opened.nodes:
        above = node.parent.role if node.parent else ""
        if node.role in HELD_BY and above not in HELD_BY[node.role]:
            yield f"{node.role} stands in {above or 'nothing'}"
        for inner in node.nodes:
            if node.role in HOLDS and inner.role not in HOLDS[node.role]:
                yield f"{node.role} holds {inner.role}"
        if node.role in HOLDS and node.marks:
            yield f"{node.role} holds content that stands in none of its parts"


@rule("6.7.4, 7.2, mp 11-001")
def language(opened: Opened) -> Iterator[str]:
    told = str(opened.root.get("/Lang", ""))
    if not LANGUAGE.fullmatch(told):
        yield f"the language is {told!r}"
    for node in opened.nodes:
        if "/Lang" in node.obj and not LANGUAGE.fullmatch(str(node.obj.Lang)):
            yield f"the language of {node.role} is {node.obj.Lang}"


@rule("7.3, mp 13-004")
def figures(opened: Opened) -> Iterator[str]:
    for node in opened.nodes:
        if node.role in ("/Figure", "/Formula"):
            told = str(node.obj.get("/Alt", "")) or str(node.obj.get("/ActualText", ""))
            if not told.strip():
                yield f"{node.role} has no words"


@rule("7.4.2, mp 14-002, mp 14-003")
def heading_levels(opened: Opened) -> Iterator[str]:
    levels = [int(n.role[2:]) for n in opened.nodes if HEADING.fullmatch(n.role)]
    if levels and levels[0] != 1:
        yield f"the first heading is of level {levels[0]}"
    for above, below in pairwise(levels):
        if below > above + 1:
            yield f"a heading of level {below} follows one of level {above}"


@rule("7.4.4, mp 14-006, mp 14-007")
def one_kind_of_heading(opened: Opened) -> Iterator[str]:
    if any(node.role == "/H" for node in opened.nodes):
        yield "headings without a level"


@rule("7.5, mp 15-003")
def heads_of_tables(opened: Opened) -> Iterator[str]:
    for node in opened.nodes:
        if node.role == "/TH":
            told = node.obj.get("/A", {})
            if str(told.get("/Scope", "")) not in ("/Column", "/Row", "/Both"):
                yield "a head of a table does not say of what"
            elif str(told.get("/O", "")) != "/Table":
                yield "the scope of a head is not one of a table"


@rule("7.5, 7.2, mp 15-005: each row as long as the others, each table with heads")
def regular_tables(opened: Opened) -> Iterator[str]:
    for node in opened.nodes:
        if node.role != "/Table":
            continue
        rows = [row for row in node.nodes if row.role == "/TR"]
        if len({len(row.nodes) for row in rows}) > 1:
            yield "a table whose rows are of different lengths"
        if not any(cell.role == "/TH" for row in rows for cell in row.nodes):
            yield "a table without a head"


@rule("7.6")
def lists(opened: Opened) -> Iterator[str]:
    for node in opened.nodes:
        has_labels = any(
            part.role == "/Lbl" for item in node.nodes for part in item.nodes
        )
        told = "/ListNumbering" in node.obj.get("/A", {})
        if node.role == "/L" and has_labels and not told:
            yield "a list with labels does not say of what kind"


@rule("7.9, mp 19-003, mp 19-004")
def notes(opened: Opened) -> Iterator[str]:
    seen = [str(n.obj.get("/ID", "")) for n in opened.nodes if n.role == "/Note"]
    if "" in seen or len(set(seen)) != len(seen):
        yield "a note without an identity of its own"


@rule("7.1: something is read")
def nothing_empty(opened: Opened) -> Iterator[str]:
    for node in opened.nodes:
        is_leaf = not (node.nodes or node.marks or node.annotations)
        if is_leaf and node.role not in ("/TD", "/TH", "/Lbl", "/LBody", "/Div"):
            yield f"{node.role} holds nothing"
