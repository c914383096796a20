"""The structure of a document for readers who do not see the page.

Headings, paragraphs, tables of data and figures with a text alternative become
elements of the file's structure tree, in the order in which they are drawn. Rules,
backgrounds, running head and foot are marked as decoration.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

_TREE = "TagTree"


@dataclass(slots=True, kw_only=True, eq=False)
class Element(pdfdoc.PDFObject):  # type: ignore[misc]
    """One element of the tree: its role, its parent, what it holds.

    A kid is another element or the number of a marked piece of the page. There
    is one element for every paragraph, so each writes itself in few bytes.
    """

    __RefOnly__ = 1  # tells the library to write it as an object of its own

    role: str
    parent: "Element | None"
    name: str
    alternative: str = ""
    page: str = ""
    kids: list["Element | int"] = field(default_factory=list)

    def format(self, document: Any) -> bytes:
        """Return the element as the library writes it into the file."""
        numbers = document.idToObjectNumberAndVersion

        def reference(name: str) -> str:
            return f"{numbers[name][0]} 0 R"

        kids = " ".join(
            reference(kid.name) if isinstance(kid, Element) else str(kid)
            for kid in self.kids
        )
        parent = reference(self.parent.name if self.parent else _TREE)
        entries = f"<</S/{self.role}/P {parent}/K[{kids}]"
        if self.page:
            entries += f"/Pg {reference(self.page)}"
        written = entries.encode("ascii")
        if self.alternative:
            written += b"/Alt " + pdfdoc.PDFString(self.alternative).format(document)
        return written + b">>"


class TaggedCanvas(Canvas):  # type: ignore[misc]
    """A canvas that keeps the structure tree while pages are drawn."""

    def __init__(self, *positional: Any, **named: Any) -> None:
        self._root = Element(role="Document", parent=None, name="Tag0")
        self._elements = [self._root]
        self._parent = self._root
        self._on_page: list[Element] = []
        self._pages: list[list[Element]] = []
        super().__init__(*positional, **named)

    def open_element(self, role: str) -> None:
        """Begin an element that holds elements, such as a table."""
        self._parent = self._element(role, "")

    def close_element(self) -> None:
        """End the element begun last."""
        if self._parent.parent is not None:
            self._parent = self._parent.parent

    @contextmanager
    def marked(self, role: str, alternative: str = "") -> Iterator[None]:
        """Mark what is drawn inside as one element."""
        element = self._element(role, alternative)
        element.page = self._doc.thisPageName()
        element.kids.append(len(self._on_page))
        self._code.append(f"/{role} <</MCID {len(self._on_page)}>> BDC")
        self._on_page.append(element)
        yield
        self._code.append("EMC")

    @contextmanager
    def decoration(self) -> Iterator[None]:
        """Mark what is drawn inside as no part of the content."""
        self._code.append("/Artifact BMC")
        yield
        self._code.append("EMC")

    def _element(self, role: str, alternative: str) -> Element:
        element = Element(
            role=role,
            parent=self._parent,
            name=f"Tag{len(self._elements)}",
            alternative=alternative,
        )
        self._elements.append(element)
        self._parent.kids.append(element)
        return element

    def _setXObjects(self, thing: Any) -> None:  # noqa: N802, the library's name
        super()._setXObjects(thing)
        if isinstance(thing, pdfdoc.PDFPage):
            # The library's page knows no such entry.
            thing.__NoDefault__ = [*thing.__NoDefault__, "StructParents"]
            thing.StructParents = len(self._pages)
            self._pages.append(self._on_page)
            self._on_page = []

    def save(self) -> None:
        """Write the tree into the document, then the document."""
        if len(self._code):
            self.showPage()
        references = {
            element.name: self._doc.Reference(element, element.name)
            for element in self._elements
        }
        tree = self._doc.Reference(self._tree(references), _TREE)
        self._doc.Catalog.StructTreeRoot = tree
        self._doc.Catalog.MarkInfo = pdfdoc.PDFDictionary({"Marked": pdfdoc.PDFtrue})
        super().save()

    def _tree(self, references: dict[str, Any]) -> Any:
        numbers: list[Any] = []
        for index, elements in enumerate(self._pages):
            on_page = [references[element.name] for element in elements]
            numbers += [index, pdfdoc.PDFArray(on_page)]
        parents = pdfdoc.PDFDictionary({"Nums": pdfdoc.PDFArray(numbers)})
        return pdfdoc.PDFDictionary(
            {
                "Type": pdfdoc.PDFName("StructTreeRoot"),
                "K": references[self._root.name],
                "ParentTree": parents,
                "ParentTreeNextKey": len(self._pages),
            }
        )


@contextmanager
def marked(canvas: Any, role: str, alternative: str = "") -> Iterator[None]:
    """Mark what is drawn inside, on a canvas that keeps a tree; role "" decorates."""
    if not isinstance(canvas, TaggedCanvas):
        yield
    elif role:
        with canvas.marked(role, alternative):
            yield
    else:
        with canvas.decoration():
            yield
