"""Elements of a document's structure, as they are written into the file."""

from dataclasses import dataclass, field
from typing import Any

from reportlab.pdfbase import pdfdoc

TREE = "TagTree"
# What is added to elements of these roles, where nothing else is said (ISO 32000-1,
# 14.8.5): a bulleted list says so, or its labels would be read as numbers.
_ATTRIBUTES = {
    "L": "/A<</O/List/ListNumbering/Disc>>",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Annotated:
    """An annotation as a kid of an element, on its page; both by their names."""

    annotation: str
    page: str


@dataclass(slots=True, kw_only=True, eq=False)
class Element(pdfdoc.PDFObject):  # type: ignore[misc]
    """One element of the tree: its role, its parent, what it holds.

    A kid is another element, the number of a marked piece of the page, or an
    annotation. There is one element for every paragraph, so each writes itself in few
    bytes.
    """

    __RefOnly__ = 1  # tells the library to write it as an object of its own

    role: str
    parent: "Element | None"
    name: str
    alternative: str = ""
    attributes: str = ""
    page: str = ""
    kids: list["Element | int | Annotated"] = field(default_factory=list)

    def format(self, document: Any) -> bytes:
        """Return the element as the library writes it into the file."""
        numbers = document.idToObjectNumberAndVersion

        def reference(name: str) -> str:
            return f"{numbers[name][0]} 0 R"

        def written(kid: "Element | int | Annotated") -> str:
            if isinstance(kid, int):
                return str(kid)
            if isinstance(kid, Element):
                return reference(kid.name)
            annotation, page = reference(kid.annotation), reference(kid.page)
            return f"<</Type/OBJR/Obj {annotation}/Pg {page}>>"

        parent = reference(self.parent.name if self.parent else TREE)
        entries = f"<</S/{self.role}/P {parent}/K[{' '.join(map(written, self.kids))}]"
        entries += self.attributes or _ATTRIBUTES.get(self.role, "")
        if self.page:
            entries += f"/Pg {reference(self.page)}"
        written_ = entries.encode("ascii")
        if self.alternative:
            written_ += b"/Alt " + pdfdoc.PDFString(self.alternative).format(document)
        return written_ + b">>"


def tree(
    *,
    root: Any,
    parents: list[Element | list[Element]],
    references: dict[str, Any],
) -> Any:
    """Return the root of the structure with what leads from marks to elements.

    ``parents`` has, by number, the elements of a page's marks or that of an annotation.
    """
    numbers: list[Any] = []
    for number, held in enumerate(parents):
        if isinstance(held, Element):
            numbers += [number, references[held.name]]
        else:
            marks = [references[element.name] for element in held]
            numbers += [number, pdfdoc.PDFArray(marks)]
    return pdfdoc.PDFDictionary(
        {
            "Type": pdfdoc.PDFName("StructTreeRoot"),
            "K": root,
            "ParentTree": pdfdoc.PDFDictionary({"Nums": pdfdoc.PDFArray(numbers)}),
            "ParentTreeNextKey": len(parents),
        }
    )


class LinkAnnotation(pdfdoc.LinkAnnotation):  # type: ignore[misc]
    """A link that the structure knows, printed with its page."""

    permitted = (*pdfdoc.LinkAnnotation.permitted, "StructParent")
