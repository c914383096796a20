"""The structure of a document for readers who do not see the page.

Headings, paragraphs, lists, tables, links and figures with a text alternative become
elements of the file's structure tree, in the order in which they are drawn. Rules,
backgrounds, running head and foot are marked as decoration, and so is the head of a
table where it is repeated.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from reports.pdf import elements
from reports.pdf.elements import Annotated, Element

# Operators that paint: text, lines, areas, forms and images (ISO 32000-1, annex A).
_PAINTS = re.compile(r"(?:^|\s)(?:Tj|TJ|'|\"|S|s|f|F|f\*|B|B\*|b|b\*|sh|Do|EI)(?:\s|$)")
_PRINTED = 4  # the flag of an annotation that is printed with its page
# What decoration is: of the page's frame, or of its layout.
FRAME, LAYOUT = "Pagination", "Layout"
# By these names a paragraph says where a link begins and ends in it.
LINK_BEGINS, LINK_ENDS = "link-begins", "link-ends"


class TaggedCanvas(Canvas):  # type: ignore[misc]
    """A canvas that keeps the structure tree while pages are drawn."""

    def __init__(self, *positional: Any, **named: Any) -> None:
        root = Element(role="Document", parent=None, name="Tag0")
        self._elements, self._open = [root], [root]
        self._begun: dict[object, Element] = {}
        self._headings: list[int] = []
        self._links: dict[str, tuple[Element, str]] = {}
        self._link: Element | None = None
        self._muted = 0
        self.faults: list[str] = []
        self._on_page: list[Element] = []
        self._parents: list[Element | list[Element]] = []
        super().__init__(*positional, **named)
        self.setNamedCB(LINK_BEGINS, TaggedCanvas.begin_link)
        self.setNamedCB(LINK_ENDS, TaggedCanvas.end_link)

    def open_element(
        self, role: str, attributes: str = "", *, whole: object = None
    ) -> None:
        """Begin an element that holds elements, such as a table.

        What is begun again with the same ``whole`` goes on: a table's rows on the next
        page stand in the table of the page before.
        """
        if self._muted:
            self._open.append(self._open[-1])
            return
        element = self._begun.get(whole) if whole is not None else None
        if element is None:
            element = self._element(role, attributes=attributes)
            if whole is not None:
                self._begun[whole] = element
        self._open.append(element)

    def close_element(self) -> None:
        """End the element begun last."""
        self._open.pop()

    def heading(self, rank: int) -> str:
        """Return the role of a heading: one level below the one that it stands under.

        Ranks only say what is above what; levels come without gaps.
        """
        while self._headings and self._headings[-1] >= rank:
            self._headings.pop()
        self._headings.append(rank)
        return f"H{len(self._headings)}"

    @contextmanager
    def marked(
        self, role: str, alternative: str = "", attributes: str = ""
    ) -> Iterator[None]:
        """Mark what is drawn inside as one element; links in it are parts of it."""
        if self._muted:
            yield
            return
        element = self._element(role, alternative, attributes)
        if role == "Figure" and not alternative.strip():
            self.faults.append("a figure has no words")
        self._open.append(element)
        self._links, self._link = {}, None
        self._code.append(self._begin_mark(element))
        yield
        self._code.append("EMC")
        self._open.pop()

    @contextmanager
    def decoration(self, kind: str = LAYOUT) -> Iterator[None]:
        """Mark what is drawn inside as no part of the content."""
        self.begin_decoration(kind)
        yield
        self.end_decoration()

    def begin_decoration(self, kind: str = LAYOUT) -> None:
        """Begin what is no part of the content; nothing in it becomes an element."""
        if not self._muted:
            self._code.append(f"/Artifact <</Type/{kind}>> BDC")
        self._muted += 1

    def end_decoration(self) -> None:
        """End what was begun last as no part of the content."""
        self._muted -= 1
        if not self._muted:
            self._code.append("EMC")

    def begin_link(self, _: str, label: str) -> None:
        """Begin a link inside a paragraph; the label is its bookmark and its words."""
        if self._muted:
            return
        key, _space, words = label.partition(" ")
        self._link = self._element("Link")
        self._links[key] = self._link, words
        self._switch_to(self._link)

    def end_link(self, *_: Any) -> None:
        """End the link begun last, unless it was begun on the page before."""
        if self._link is not None:
            self._link = None
            self._switch_to(self._open[-1])

    def linkRect(  # noqa: N802, the library's name
        self,
        contents: str,
        destinationname: str,
        Rect: Any = None,  # noqa: N803, the library's name
        **named: Any,
    ) -> None:
        """Let a rectangle lead to a bookmark, as a link of the structure."""
        element, words = self._links.get(destinationname) or (None, "")
        if element is None:
            element = self._element("Link")
        if not (contents or words).strip():
            self.faults.append(f"a link to {destinationname} has no words")
        number, page = len(self._parents), self._doc.thisPageName()
        self._parents.append(element)
        annotation = elements.LinkAnnotation(
            Rect=self._absRect(Rect, named.get("relative", 1)),
            Contents=contents or words,
            Destination=self._bookmarkReference(destinationname),
            Border="[0 0 0]",
            F=_PRINTED,
            StructParent=number,
        )
        name = f"Link{number}"
        self._addAnnotation(annotation, name)
        named_ = self._doc.refAnnotation(name).name
        element.kids.append(Annotated(annotation=named_, page=page))

    def _switch_to(self, element: Element) -> None:
        """Go on with another element inside a text that is being drawn."""
        self._curr_tx_info["tx"]._code.append(f"EMC {self._begin_mark(element)}")

    def _begin_mark(self, element: Element) -> str:
        element.page = self._doc.thisPageName()
        number = len(self._on_page)
        element.kids.append(number)
        self._on_page.append(element)
        return f"/{element.role} <</MCID {number}>> BDC"

    def _element(
        self, role: str, alternative: str = "", attributes: str = ""
    ) -> Element:
        parent = self._open[-1]
        element = Element(
            role=role,
            parent=parent,
            name=f"Tag{len(self._elements)}",
            alternative=alternative,
            attributes=attributes,
        )
        self._elements.append(element)
        parent.kids.append(element)
        return element

    def _setXObjects(self, thing: Any) -> None:  # noqa: N802, the library's name
        super()._setXObjects(thing)
        if isinstance(thing, pdfdoc.PDFPage):
            # The library's page knows no such entries.
            thing.__NoDefault__ = [*thing.__NoDefault__, "StructParents", "Tabs"]
            thing.StructParents = len(self._parents)
            thing.Tabs = pdfdoc.PDFName("S")  # fields and links in order of structure
            self._parents.append(self._on_page)
            self._on_page = []

    def showPage(self) -> None:  # noqa: N802, the library's name
        """End the page, noticing what was drawn on it outside of all marks."""
        depth = 0
        for code in self._code:
            if code.endswith("BDC"):
                depth += 1
            elif code == "EMC":
                depth -= 1
            elif not depth and _PAINTS.search(code):
                self.faults.append(f"drawn outside of all marks: {code[:40]}")
        super().showPage()

    def save(self) -> None:
        """Write the tree into the document, then the document."""
        if len(self._code):
            self.showPage()
        references = {
            element.name: self._doc.Reference(element, element.name)
            for element in self._elements
        }
        root = references[self._elements[0].name]
        written = elements.tree(root=root, parents=self._parents, references=references)
        tree = self._doc.Reference(written, elements.TREE)
        self._doc.Catalog.StructTreeRoot = tree
        self._doc.Catalog.MarkInfo = pdfdoc.PDFDictionary({"Marked": pdfdoc.PDFtrue})
        super().save()


@contextmanager
def marked(
    canvas: Any,
    role: str,
    alternative: str = "",
    attributes: str = "",
    *,
    kind: str = LAYOUT,
) -> Iterator[None]:
    """Mark what is drawn inside, on a canvas that keeps a tree; role "" decorates."""
    if not isinstance(canvas, TaggedCanvas):
        yield
    elif role:
        with canvas.marked(role, alternative, attributes):
            yield
    else:
        with canvas.decoration(kind):
            yield


def figure_attributes(canvas: Any, width: float, height: float) -> str:
    """Return where a figure stands on its page, which a reader zooms to."""
    left, low = canvas.absolutePosition(0, 0)
    right, high = canvas.absolutePosition(width, height)
    box = " ".join(f"{number:.2f}" for number in (left, low, right, high))
    return f"/A<</O/Layout/Placement/Block/BBox[{box}]>>"
