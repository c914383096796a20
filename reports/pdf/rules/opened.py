"""A file opened for the rules: its elements, what its pages paint, its fonts."""

import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import pikepdf

TEXT = {"Tj", "TJ", "'", '"'}
# They paint nothing, mark nothing and no rule asks for what they are given.
_SILENT = "BT ET T* Tc Td TD TL Tm Tr Ts Tw Tz W W* c cm d gs h i j J l m M n re v w y"
SILENT = frozenset(_SILENT.split())
PAINTS = TEXT | {"S", "s", "f", "F", "f*", "B", "B*", "b", "b*", "sh", "Do", "EI"}


@dataclass(slots=True, kw_only=True, eq=False)
class Node:
    """An element of the structure: its role, its parent, its elements in order."""

    obj: Any
    role: str
    parent: "Node | None"
    nodes: list["Node"] = field(default_factory=list)
    marks: list[tuple[object, int]] = field(default_factory=list)
    annotations: list[object] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class Operator:
    """One operator: on which page, in which marks, with which font."""

    page: int
    operator: str
    operands: list[Any]
    is_artifact: bool
    mark: int | None
    nested_wrong: str = ""
    font: Any = None
    saved: int = 0

    @property
    def shown(self) -> bytes:
        """Return the bytes that a text operator shows."""
        last = self.operands[-1] if self.operands else b""
        parts = last if self.operator == "TJ" else [last]
        return b"".join(bytes(p) for p in parts if isinstance(p, pikepdf.String))


class Opened:
    """A file, read once."""

    def __init__(self, drawn: bytes) -> None:
        self.raw = drawn
        self.pdf: Any = pikepdf.open(io.BytesIO(drawn))
        self.root: Any = self.pdf.Root

    @cached_property
    def objects(self) -> list[Any]:
        """Return every indirect object."""
        return list(self.pdf.objects)

    @cached_property
    def dictionaries(self) -> list[Any]:
        """Return every dictionary, those of streams and inside others included."""
        found: list[Any] = []

        def walk(value: object) -> None:
            if isinstance(value, pikepdf.Dictionary | pikepdf.Stream):
                found.append(value)
                inner = [item for _, item in value.items()]
            elif isinstance(value, pikepdf.Array):
                inner = list(value)
            else:
                return
            for item in inner:
                if not getattr(item, "is_indirect", False):
                    walk(item)

        for each in [*self.objects, self.pdf.trailer]:
            walk(each)
        return found

    @cached_property
    def nodes(self) -> list[Node]:
        """Return the elements of the structure in reading order."""
        tree = self.root.get("/StructTreeRoot")
        found: list[Node] = []
        if tree is None or "/K" not in tree:
            return found

        def walk(obj: Any, parent: Node | None) -> None:
            node = Node(obj=obj, role=str(obj.get("/S", "")), parent=parent)
            found.append(node)
            if parent is not None:
                parent.nodes.append(node)
            page = obj.get("/Pg")
            for kid in _listed(obj.get("/K")):
                if isinstance(kid, int):
                    node.marks.append((page.objgen if page is not None else None, kid))
                elif str(kid.get("/Type", "")) == "/OBJR":
                    node.annotations.append(kid.Obj.objgen)
                elif "/S" in kid:
                    walk(kid, node)

        for kid in _listed(tree.K):
            walk(kid, None)
        return found

    @cached_property
    def done(self) -> list[Operator]:
        """Return what the pages paint and mark, forms in their place, in order."""
        return [
            one for page in range(len(self.pdf.pages)) for one in self._done_on(page)
        ]

    def _done_on(self, page: int) -> Iterator[Operator]:
        obj = self.pdf.pages[page].obj
        yield from self._done_in(page, obj, obj.get("/Resources"), [])

    def _done_in(
        self, page: int, stream: Any, resources: Any, marks: list[Any]
    ) -> Iterator[Operator]:
        font, saved, marks = None, 0, list(marks)
        for instruction in pikepdf.parse_content_stream(stream):
            operator = str(instruction.operator)
            if operator in SILENT:
                continue
            operands: list[Any] = list(instruction.operands)
            wrong = ""
            if operator in ("BDC", "BMC"):
                wrong = _nested_wrong(marks, operands)
                marks.append(_mark(operands))
            elif operator == "q":
                saved += 1
            elif operator == "Q":
                saved -= 1
            elif operator == "Tf":
                font = resources.Font.get(str(operands[0]))
            yield Operator(
                page=page,
                operator=operator,
                operands=operands,
                is_artifact="artifact" in marks,
                mark=next((m for m in reversed(marks) if isinstance(m, int)), None),
                nested_wrong=wrong,
                font=font,
                saved=saved,
            )
            if operator == "EMC":
                marks.pop()
            elif operator == "Do":
                inner = resources.XObject.get(str(operands[0]))
                if inner is not None and str(inner.get("/Subtype")) == "/Form":
                    inside = inner.get("/Resources", resources)
                    yield from self._done_in(page, inner, inside, marks)

    @cached_property
    def fonts(self) -> dict[object, tuple[Any, set[int]]]:
        """Return the fonts that text is shown in, with the codes that are shown."""
        found: dict[object, tuple[Any, set[int]]] = {}
        for one in self.done:
            if one.operator in TEXT and one.font is not None:
                _, codes = found.setdefault(one.font.objgen, (one.font, set()))
                codes |= set(one.shown)
        return found

    @cached_property
    def annotations(self) -> list[tuple[int, Any]]:
        """Return the annotations, each with the number of its page."""
        return [
            (number, annotation)
            for number, page in enumerate(self.pdf.pages)
            for annotation in page.obj.get("/Annots", [])
        ]

    @cached_property
    def parents(self) -> dict[int, Any]:
        """Return what the tree of parents holds under each number."""
        tree = self.root.get("/StructTreeRoot")
        numbers = list(tree.ParentTree.Nums) if tree is not None else []
        return {
            int(n): held for n, held in zip(numbers[::2], numbers[1::2], strict=True)
        }


def _listed(kids: Any) -> list[Any]:
    if kids is None:
        return []
    return list(kids) if isinstance(kids, pikepdf.Array) else [kids]


def _mark(operands: list[Any]) -> object:
    if str(operands[0]) == "/Artifact":
        return "artifact"
    properties = operands[1] if len(operands) > 1 else None
    if isinstance(properties, pikepdf.Dictionary) and "/MCID" in properties:
        return int(properties.MCID)
    return None


def _nested_wrong(marks: list[Any], operands: list[Any]) -> str:
    mark = _mark(operands)
    if mark == "artifact" and any(isinstance(m, int) for m in marks):
        return "an artifact inside content"
    if isinstance(mark, int) and "artifact" in marks:
        return "content inside an artifact"
    return ""
