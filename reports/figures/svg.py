"""A figure as SVG: the same drawing as in the document, with its words for all."""

import re
from xml.etree import ElementTree

from reportlab.graphics import renderSVG
from reportlab.graphics.shapes import Drawing

from reports.figures import lettering

_SPACE = "http://www.w3.org/2000/svg"
# A reader's machine may not have the typeface; the next ones are as narrow.
_FAMILY = "'DejaVu Sans Condensed','Liberation Sans Narrow','Arial Narrow',sans-serif"
# Where numbers say a place; two decimals are a hundredth of a point.
_PLACES = frozenset({"d", "x", "y", "x1", "y1", "x2", "y2", "points", "transform"})
_LONG = re.compile(r"\d+\.\d{3,}")
_SHARES = re.compile(r"rgb\((\d+)%,(\d+)%,(\d+)%\)")
# What is so where nothing is said (SVG 1.1, 11.4 and 7.6).
_USUAL = (("stroke-linecap", "butt"), ("stroke-linejoin", "miter"), ("transform", ""))
# Letters of a printed page, made as large as those around them on a screen.
_ON_A_SCREEN = 1.9
_BELOW = 3.0
_FACES = {
    lettering.REGULAR: "",
    lettering.BOLD: "font-weight: bold;",
    lettering.OBLIQUE: "font-style: italic;",
}


def svg(*, drawing: Drawing, title: str, description: str) -> str:
    """Return the drawing as SVG text with title and description inside.

    The same drawing gives the same text. Raises UnprintableText.
    """
    root = ElementTree.fromstring(renderSVG.drawToString(drawing))
    words = {"title": title, "desc": description}
    for tag, text in words.items():
        element = root.find(f"{{{_SPACE}}}{tag}")
        if element is not None:
            element.text = lettering.printable(text, field=f"figure {tag}")
    for element in root.iter(f"{{{_SPACE}}}text"):
        element.set("style", _styled(element.get("style", "")))
    root.set("role", "img")
    ElementTree.register_namespace("", _SPACE)
    return ElementTree.tostring(root, encoding="unicode")


def inline(*, drawing: Drawing, title: str, description: str, key: str) -> str:
    """Return the drawing as SVG that stands in a page beside others.

    Looks are attributes, since a page allows no styles of its own, and names inside it
    begin with the key, so that no two figures share one. Raises UnprintableText.
    """
    root = ElementTree.fromstring(
        svg(drawing=drawing, title=title, description=description)
    )
    # Letters of the last line reach below the drawing; on paper nothing cuts them.
    wide, high = float(root.get("width", "0")), float(root.get("height", "0"))
    high += _BELOW
    root.set("viewBox", f"0 0 {wide:g} {high:g}")
    root.set("height", str(high))
    # The drawing stands on its head in there: what lies below has a negative y.
    clip = root.find(f"{{{_SPACE}}}clipPath/{{{_SPACE}}}rect")
    if clip is not None:
        clip.set("y", f"{-_BELOW:g}")
        clip.set("height", f"{high:g}")
    for side in ("width", "height"):
        root.set(side, f"{float(root.get(side, '0')) * _ON_A_SCREEN:.1f}")
    prefix = re.sub(r"[^a-z0-9]+", "-", key.lower())
    for element in root.iter():
        style = element.attrib.pop("style", "")
        for part in style.split(";"):
            name, _, value = part.partition(":")
            if value.strip():
                element.set(name.strip(), value.strip())
        for name, value in element.attrib.items():
            if name == "id":
                element.set(name, f"{prefix}-{value}")
            elif value.startswith("url(#"):
                element.set(name, value.replace("url(#", f"url(#{prefix}-"))
    _lighten(root)
    ElementTree.register_namespace("", _SPACE)
    return ElementTree.tostring(root, encoding="unicode")


def _lighten(root: ElementTree.Element) -> None:
    """Take out what says nothing on a screen: blanks, digits, a family said again."""
    root.set("font-family", _FAMILY)
    for element in root.iter():
        if not (element.text or "").strip():
            element.text = None
        element.tail = None
        if element is not root and element.get("font-family") == _FAMILY:
            del element.attrib["font-family"]
        for name, usual in _USUAL:
            if element.get(name) == usual:
                del element.attrib[name]
        for name in ("fill", "stroke"):
            if (colour := _SHARES.fullmatch(element.get(name, ""))) is not None:
                parts = (round(int(share) * 2.55) for share in colour.groups())
                element.set(name, "#" + "".join(f"{part:02x}" for part in parts))
        for name in _PLACES & element.attrib.keys():
            value = element.attrib[name]
            element.set(name, _LONG.sub(lambda n: f"{float(n[0]):.2f}", value))


def _styled(style: str) -> str:
    family, _, rest = style.partition(";")
    face = family.removeprefix("font-family:").strip()
    return f"font-family: {_FAMILY};{_FACES[face]}{rest}"
