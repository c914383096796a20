"""Annotations: ISO 19005-2, 6.3; ISO 14289-1, 7.18; Matterhorn 28."""

from collections.abc import Iterator

import pikepdf

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import Opened

INVISIBLE, HIDDEN, PRINT, NO_VIEW, TOGGLE = 1, 2, 4, 32, 256
# What our documents hold; anything else is not looked into.
KNOWN = {"/Link", "/Widget"}


def is_hidden(annotation: pikepdf.Object) -> bool:
    flags = int(annotation.get("/F", 0))
    box = [float(side) for side in annotation.Rect]
    return bool(flags & HIDDEN) or (box[0] == box[2] and box[1] == box[3])


@rule("6.3.1, 7.18.2, mp 28-006, mp 28-007")
def kinds(opened: Opened) -> Iterator[str]:
    for page, annotation in opened.annotations:
        if str(annotation.get("/Subtype")) not in KNOWN:
            yield f"page {page + 1} has an annotation {annotation.get('/Subtype')}"


@rule("6.3.2")
def flags(opened: Opened) -> Iterator[str]:
    for page, annotation in opened.annotations:
        told = int(annotation.get("/F", 0))
        if not told & PRINT or told & (INVISIBLE | HIDDEN | NO_VIEW | TOGGLE):
            yield f"page {page + 1} has an annotation that is not printed as shown"


@rule("6.3.3")
def looks(opened: Opened) -> Iterator[str]:
    for page, annotation in opened.annotations:
        is_link = str(annotation.get("/Subtype")) == "/Link"
        if not is_link and not is_hidden(annotation) and "/AP" not in annotation:
            yield f"page {page + 1} has an annotation without looks of its own"


@rule("7.18.3, mp 28-008, mp 28-009")
def tab_order(opened: Opened) -> Iterator[str]:
    for number, page in enumerate(opened.pdf.pages, start=1):
        if "/Annots" in page.obj and str(page.obj.get("/Tabs", "")) != "/S":
            yield f"page {number} does not go by its structure"


@rule("7.18.5, mp 28-011")
def links(opened: Opened) -> Iterator[str]:
    roles = {
        annotation: node for node in opened.nodes for annotation in node.annotations
    }
    for page, annotation in opened.annotations:
        if str(annotation.get("/Subtype")) != "/Link":
            continue
        node = roles.get(annotation.objgen)
        if node is None or node.role != "/Link":
            yield f"page {page + 1} has a link that is no Link of the structure"
            continue
        led_to = opened.parents.get(int(annotation.get("/StructParent", -1)))
        if led_to is None or led_to.objgen != node.obj.objgen:
            yield f"page {page + 1} has a link that does not lead to its element"


@rule("7.18.1, 7.18.5, mp 28-004, mp 28-012")
def words(opened: Opened) -> Iterator[str]:
    for page, annotation in opened.annotations:
        if is_hidden(annotation):
            continue
        if not str(annotation.get("/Contents", "")).strip():
            yield f"page {page + 1} has an annotation without words"


@rule("7.18.4, mp 28-010")
def fields(opened: Opened) -> Iterator[str]:
    held = {
        a for node in opened.nodes if node.role == "/Form" for a in node.annotations
    }
    for page, annotation in opened.annotations:
        is_field = str(annotation.get("/Subtype")) == "/Widget"
        if is_field and not is_hidden(annotation) and annotation.objgen not in held:
            yield f"page {page + 1} has a field that is no Form of the structure"
