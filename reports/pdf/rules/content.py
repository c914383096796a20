"""What is painted, content or decoration: ISO 14289-1, 7.1; Matterhorn 1."""

from collections.abc import Iterator

from reports.pdf.rules.listed import rule
from reports.pdf.rules.opened import PAINTS, Opened


@rule("7.1, mp 01-003, mp 01-004")
def nesting(opened: Opened) -> Iterator[str]:
    for one in opened.done:
        if one.nested_wrong:
            yield f"page {one.page + 1} has {one.nested_wrong}"


@rule("7.1, 6.7.3.2, mp 01-005")
def everything_marked(opened: Opened) -> Iterator[str]:
    for one in opened.done:
        if one.operator in PAINTS and not one.is_artifact and one.mark is None:
            yield f"page {one.page + 1} paints ({one.operator}) outside of all marks"


@rule("7.1, mp 01-006: marks lead to their elements and back")
def marks_and_elements(opened: Opened) -> Iterator[str]:
    holders = {mark: node for node in opened.nodes for mark in node.marks}
    used = {
        (opened.pdf.pages[one.page].obj.objgen, one.mark)
        for one in opened.done
        if one.mark is not None
    }
    for where, mark in sorted(used - set(holders), key=str):
        yield f"the mark {mark} of {where} belongs to no element"
    for place, mark in sorted(set(holders) - used, key=str):
        yield f"an element holds the mark {mark} of {place}, which is not there"
    for number, page in enumerate(opened.pdf.pages, start=1):
        listed = opened.parents.get(int(page.obj.get("/StructParents", -1)), [])
        for mark, element in enumerate(listed):
            holder = holders.get((page.obj.objgen, mark))
            if holder is None or holder.obj.objgen != element.objgen:
                yield f"the mark {mark} of page {number} leads to another element"
        if len(listed) != sum(place == page.obj.objgen for place, _ in used):
            yield f"not every mark of page {number} leads to an element"


@rule("7.1, mp 01-007")
def suspects(opened: Opened) -> Iterator[str]:
    if opened.root.get("/MarkInfo", {}).get("/Suspects", False):
        yield "the file says that its tags are doubtful"


@rule("7.20, mp 30-002")
def forms_with_marks(opened: Opened) -> Iterator[str]:
    for page in opened.pdf.pages:
        for each in page.obj.get("/Resources", {}).get("/XObject", {}).values():
            if "/StructParents" in each or "/StructParent" in each:
                yield "a form brings marks of its own"
