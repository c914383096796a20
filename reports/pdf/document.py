"""Content in, the bytes of a PDF out: the same bytes every time."""

import hashlib
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from reports import content
from reports.content import (
    ConditionReport,
    FieldSheet,
    PortfolioReview,
    RegrooveSheet,
    RopeOrder,
)
from reports.figures import lettering
from reports.pdf import (
    archive,
    condition,
    fieldsheet,
    page,
    portfolio,
    printable,
    regroove,
    rope_order,
    service,
    tagging,
)
from reports.pdf.described import Described

# The version of PDF that PDF/A-2 and PDF/UA-1 build upon (ISO 32000-1).
_VERSION = (1, 7)

# Belt and braces: no text reaches the markup reader unescaped, and if one did,
# no address and no file may be opened.
rl_config.trustedHosts = None
rl_config.trustedSchemes = []


def draw(*, document: content.Content) -> bytes:
    """Return the PDF of a document, without the marks of PDF/A and PDF/UA.

    The same content gives the same bytes, in every process and at any time: the
    date in the file is that of the content, its identity the content's checksum.
    Raises UnprintableText and TextTooLong with the path of the field.
    """
    return _drawn(document).file


def issue(*, document: content.Content) -> bytes:
    """Return the PDF as it goes out: checked, and marked if it keeps every rule.

    The same bytes for the same content, like ``draw``, with what that raises.
    """
    drawn = _drawn(document)
    return archive.mark(drawn.file, described=drawn.described, faults=drawn.faults)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """A file without marks, what it says about itself, what drawing has noticed."""

    file: bytes
    described: Described
    faults: list[str]


def _drawn(document: content.Content) -> _Drawn:
    lettering.register()
    printable.check(document)
    sheet = page.Sheet(
        masthead=document.masthead,
        wording=document.wording,
        checksum=content.checksum(document),
        # A technician reads the cautions before anything else.
        cautions_at_foot=not isinstance(document, FieldSheet),
    )
    target, described = BytesIO(), _described(sheet)
    canvas = _Canvas(sheet)
    _template(target, sheet, described).build(
        _story(document, sheet), canvasmaker=canvas
    )
    return _Drawn(
        file=archive.finish(target.getvalue(), described=described),
        described=described,
        faults=canvas.made.faults,
    )


def _story(document: content.Content, sheet: page.Sheet) -> list[Flowable]:
    if isinstance(document, ConditionReport):
        return condition.story(document, sheet)
    if isinstance(document, FieldSheet):
        return fieldsheet.story(document, sheet)
    if isinstance(document, PortfolioReview):
        return portfolio.story(document, sheet)
    if isinstance(document, RegrooveSheet):
        return regroove.story(document, sheet)
    if isinstance(document, RopeOrder):
        return rope_order.story(document, sheet)
    return service.story(document, sheet)


def _described(sheet: page.Sheet) -> Described:
    masthead = sheet.masthead
    return Described(
        title=f"{masthead.title} · {masthead.number}",
        author=masthead.contractor.name,
        subject=f"{masthead.kind}: {masthead.place.name}, {masthead.period}",
        keywords=f"{masthead.number} sha256:{sheet.checksum}",
        language=masthead.language,
        program="Ropeseat",
        moment=masthead.issued_at,
    )


def _template(
    target: BytesIO, sheet: page.Sheet, described: Described
) -> page.NumberedDocument:
    return page.NumberedDocument(
        target,
        pagesize=sheet.size,
        pageTemplates=page.templates(sheet),
        title=described.title,
        author=described.author,
        subject=described.subject,
        keywords=described.keywords,
        creator=described.program,
        producer=described.program,
        lang=described.language,
        initialFontName=lettering.REGULAR,
        invariant=1,
        displayDocTitle=1,
        pageCompression=0,  # all at once, when the file is finished
    )


class _Canvas:
    """Makes the canvas of one document: dated and identified by its content."""

    made: tagging.TaggedCanvas

    def __init__(self, sheet: page.Sheet) -> None:
        self._sheet = sheet

    def __call__(self, target: Any, **settings: Any) -> Canvas:
        canvas = tagging.TaggedCanvas(target, pdfVersion=_VERSION, **settings)
        self.made = canvas
        moment = self._sheet.masthead.issued_at
        offset = moment.strftime("%z")
        dated = f"D:{moment:%Y%m%d%H%M%S}{offset[:3]}'{offset[3:5]}'"
        canvas.setDateFormatter(lambda *_: dated)
        # The library would seed the file's identity with a time.
        canvas._doc.signature = hashlib.md5(
            self._sheet.checksum.encode(), usedforsecurity=False
        )
        canvas.setProducer("Ropeseat")
        canvas.setViewerPreference("DisplayDocTitle", "true")
        canvas.showOutline()
        return canvas
