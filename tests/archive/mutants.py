"""One broken file for each rule: what is broken, and the rule that must tell.

Here are those of the file, its graphics, fonts and metadata.
"""

import io
import re
import struct
from collections.abc import Callable

import pikepdf
from pikepdf import Array, Dictionary, Name, String

MUTANTS: list[tuple[str, Callable[[bytes], bytes]]] = []


def raw(number):
    """Enter a mutant that changes the bytes."""

    def entered(change):
        MUTANTS.append((number, change))
        return change

    return entered


def mutant(number):
    """Enter a mutant that changes the open file."""

    def entered(change):
        def changed(drawn: bytes) -> bytes:
            with pikepdf.open(io.BytesIO(drawn)) as pdf:
                settings = change(pdf) or {}
                saved = io.BytesIO()
                pdf.save(saved, fix_metadata_version=False, **settings)
            return saved.getvalue()

        changed.__name__, changed.__module__ = change.__name__, change.__module__
        MUTANTS.append((number, changed))
        return change

    return entered


def element(pdf, role):
    """Return the first element of a role."""
    return next(
        e for e in pdf.objects if is_element(e) and str(e.get("/S", "")) == role
    )


def is_element(each):
    return isinstance(each, Dictionary) and "/P" in each and "/K" in each


def link(pdf):
    return next(
        each
        for page in pdf.pages
        for each in page.obj.get("/Annots", [])
        if str(each.Subtype) == "/Link"
    )


def become_field(pdf):
    field = link(pdf)
    field.Subtype, field.FT = Name.Widget, Name.Tx
    pdf.Root.AcroForm = Dictionary(Fields=Array([field]))


def font(pdf):
    fonts = pdf.pages[0].obj.Resources.Font
    return fonts[next(name for name in fonts if name.endswith("F1+0"))]


def painted(pdf, code):
    """Draw something on page one before all else."""
    page = pdf.pages[0].obj
    page.Contents = pdf.make_stream(code + b"\n" + page.Contents.read_bytes())


def rewritten(pdf, old, new, count=1):
    page = pdf.pages[0].obj
    before = page.Contents.read_bytes()
    after = re.sub(old, new, before, count=count)
    assert after != before
    page.Contents = pdf.make_stream(after)


def metadata(pdf, old, new):
    before = pdf.Root.Metadata.read_bytes()
    after = re.sub(old, new, before, flags=re.DOTALL)
    assert after != before
    pdf.Root.Metadata.write(after)


def resource(pdf, kind, value):
    resources = pdf.pages[0].obj.Resources
    resources[kind] = Dictionary(X1=pdf.make_indirect(value))


# The file


@raw("6.1.2")
def header_without_bytes(drawn):
    return re.sub(rb"%PDF-1\.7\n%[^\n]*", b"%PDF-1.7\n%text", drawn, count=1)


@raw("6.1.3")
def something_after_the_end(drawn):
    return drawn + b"\n% and more\n"


@raw("6.1.7.1")
def stream_without_end_of_line(drawn):
    return drawn.replace(b"\nendstream", b" endstream", 1)


@raw("6.1.9")
def object_without_end_of_line(drawn):
    return re.sub(rb"(\n\d+ 0 obj)\n", rb"\1 ", drawn, count=1)


@mutant("6.1.3, mp 26-001: not encrypted")
def encrypted(pdf):
    return {"encryption": pikepdf.Encryption(owner="owner", user="")}


@mutant("6.1.7.1: nothing outside of the file")
def stream_of_another_file(pdf):
    pdf.Root.Metadata.F = String("other.xml")


@mutant("6.1.7.2")
def old_filter(pdf):
    stream = pikepdf.Stream(pdf, b"\x80\x0b\x60\x50\x22\x0c\x0c\x85\x01")
    stream.Filter = Name.LZWDecode
    pdf.Root.PieceInfo = Dictionary(X=pdf.make_indirect(stream))
    return {
        "compress_streams": False,
        "stream_decode_level": pikepdf.StreamDecodeLevel.none,
    }


@mutant("6.1.13")
def endless_string(pdf):
    pdf.docinfo.Note = String("x" * 40000)


@mutant("6.5.1")
def script(pdf):
    pdf.Root.OpenAction = Dictionary(Type=Name.Action, S=Name.JavaScript, JS=String(""))


@mutant("6.5.2")
def trigger(pdf):
    pdf.pages[0].obj.AA = Dictionary(O=Dictionary(S=Name.Named, N=Name.Print))


@mutant("6.4.2, mp 25-001")
def form_without_looks(pdf):
    pdf.Root.AcroForm = Dictionary(Fields=Array(), NeedAppearances=True)


@mutant("6.8, mp 21-001")
def attachment(pdf):
    pdf.attachments["a.csv"] = b"a;b"


@mutant("6.9, mp 20-001")
def layer(pdf):
    pdf.Root.OCProperties = Dictionary(OCGs=Array())


@mutant("6.10")
def steps(pdf):
    pdf.pages[0].obj.PresSteps = Dictionary(Type=Name.NavNode)


@mutant("6.11")
def asking_for_abilities(pdf):
    pdf.Root.Requirements = Array([Dictionary(S=Name.EnableJavaScripts)])


# Graphics


@mutant("6.2.2")
def unknown_operator(pdf):
    painted(pdf, b"BX 1 zz EX")


@mutant("6.2.3")
def no_output_intent(pdf):
    del pdf.Root.OutputIntents


@mutant("6.2.3")
def profile_of_other_colours(pdf):
    pdf.Root.OutputIntents[0].DestOutputProfile.N = 4


@mutant("6.2.4.3")
def cmyk(pdf):
    painted(pdf, b"0 0 0 1 k")


@mutant("6.2.4.4")
def spot_colour(pdf):
    spot = Array([Name.Separation, Name.Red, Name.DeviceRGB, Dictionary()])
    resource(pdf, "/ColorSpace", spot)


@mutant("6.2.5")
def transfer_function(pdf):
    state = Dictionary(Type=Name.ExtGState, TR=Name.Identity)
    resource(pdf, "/ExtGState", state)


@mutant("6.2.6")
def odd_intent(pdf):
    painted(pdf, b"/Vivid ri")


@mutant("6.2.8")
def smoothed_image(pdf):
    image = pikepdf.Stream(pdf, b"\0", Subtype=Name.Image, Interpolate=True)
    resource(pdf, "/XObject", image)


@mutant("6.2.9, mp 30-001")
def form_of_another_file(pdf):
    form = pikepdf.Stream(pdf, b"", Subtype=Name.Form, Ref=Dictionary(F=String("x")))
    resource(pdf, "/XObject", form)


@mutant("6.2.10")
def odd_blending(pdf):
    resource(pdf, "/ExtGState", Dictionary(Type=Name.ExtGState, BM=Name.Melt))


# Fonts


@mutant("6.2.11.2")
def font_of_another_kind(pdf):
    font(pdf).Subtype = Name.Type1


@mutant("6.2.11.4.1, 7.21.4.1, mp 31-009")
def font_not_embedded(pdf):
    del font(pdf).FontDescriptor.FontFile2


@mutant("6.2.11.4.2")
def font_without_tag(pdf):
    font(pdf).BaseFont = Name.DejaVuSansCondensed


@mutant("6.2.11.5, 7.21.5, mp 31-016")
def wrong_width(pdf):
    font(pdf).Widths = Array([1 + float(w) * 2 for w in font(pdf).Widths])


@mutant("6.2.11.6, 7.21.6")
def symbolic_with_encoding(pdf):
    font(pdf).Encoding = Name.WinAnsiEncoding


@mutant("6.2.11.7.2, 7.21.7, mp 10-001, mp 31-027")
def no_letters(pdf):
    del font(pdf).ToUnicode


@mutant("6.2.11.7.2, 7.21.7, mp 10-001, mp 31-027")
def letter_nought(pdf):
    stream = font(pdf).ToUnicode
    stream.write(re.sub(rb"<41> <0041>", b"<41> <0000>", stream.read_bytes()))


@mutant("6.2.11.7.3")
def private_letter(pdf):
    stream = font(pdf).ToUnicode
    stream.write(re.sub(rb"> <00(6[0-9A-F])>", rb"> <E0\1>", stream.read_bytes()))


@mutant("6.2.11.8, 7.21.8, mp 31-030")
def no_glyph(pdf):
    program = font(pdf).FontDescriptor.FontFile2
    data = program.read_bytes()
    at = next(n for n in range(12, 400, 16) if data[n : n + 4] == b"cmap")
    start, size = struct.unpack(">II", data[at + 8 : at + 16])
    head = start + 22  # of the table and of its one subtable: all that is no glyph
    program.write(data[:head] + bytes(size - 22) + data[start + size :])


# Metadata


@mutant("6.6.2.1, mp 06-001")
def no_metadata(pdf):
    del pdf.Root.Metadata


@mutant("6.6.2.1, mp 06-001")
def broken_metadata(pdf):
    metadata(pdf, rb"</rdf:RDF>", b"")


@mutant("6.6.2.3")
def schema_not_described(pdf):
    metadata(pdf, rb"<pdfaExtension:schemas>.*</pdfaExtension:schemas>", b"")


@mutant("6.6.3")
def another_title(pdf):
    pdf.docinfo.Title = String("another")


@mutant("6.6.4")
def no_archive_mark(pdf):
    metadata(pdf, rb"<pdfaid:conformance>A<", b"<pdfaid:conformance>B<")


@mutant("7.1, 5, mp 06-002")
def no_access_mark(pdf):
    metadata(pdf, rb"<pdfuaid:part>1</pdfuaid:part>", b"")


@mutant("7.1, mp 06-003")
def no_title(pdf):
    metadata(pdf, rb"<dc:title>.*</dc:title>", b"")


@mutant("7.1, mp 07-001, mp 07-002")
def title_not_shown(pdf):
    pdf.Root.ViewerPreferences.DisplayDocTitle = False
