"""One broken file for each rule of what is painted, of links and of the structure."""

import pikepdf
from pikepdf import Array, Name

from tests.archive.mutants import (
    become_field,
    element,
    link,
    mutant,
    painted,
    resource,
    rewritten,
)


@mutant("7.1, mp 01-003, mp 01-004")
def decoration_inside_content(pdf):
    rewritten(pdf, rb"(/P <</MCID \d+>> BDC)", rb"\1 /Artifact BMC EMC")


@mutant("7.1, mp 01-003, mp 01-004")
def content_inside_decoration(pdf):
    rewritten(pdf, rb"(/Artifact <<[^>]*>> BDC)", rb"\1 /P <</MCID 0>> BDC EMC")


@mutant("7.1, 6.7.3.2, mp 01-005")
def untagged_text(pdf):
    name = next(iter(pdf.pages[0].obj.Resources.Font.keys())).encode()
    painted(pdf, b"BT " + name + b" 9 Tf (a) Tj ET")


@mutant("7.1, 6.7.3.2, mp 01-005")
def untagged_line(pdf):
    painted(pdf, b"0 0 m 9 9 l S")


@mutant("7.1, mp 01-006: marks lead to their elements and back")
def mark_of_no_element(pdf):
    painted(pdf, b"/P <</MCID 9999>> BDC EMC")


@mutant("7.1, mp 01-006: marks lead to their elements and back")
def marks_of_other_elements(pdf):
    page = pdf.pages[0].obj
    numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
    at = [int(n) for n in list(numbers)[::2]].index(int(page.StructParents))
    held = numbers[2 * at + 1]
    numbers[2 * at + 1] = Array([held[1], held[0], *list(held)[2:]])


@mutant("7.1, mp 01-007")
def doubtful_tags(pdf):
    pdf.Root.MarkInfo.Suspects = True


@mutant("7.20, mp 30-002")
def form_with_marks(pdf):
    form = pikepdf.Stream(pdf, b"", Subtype=Name.Form, StructParents=999)
    resource(pdf, "/XObject", form)


# Annotations


@mutant("6.3.1, 7.18.2, mp 28-006, mp 28-007")
def odd_annotation(pdf):
    link(pdf).Subtype = Name.Sound


@mutant("6.3.2")
def link_not_printed(pdf):
    link(pdf).F = 0


@mutant("6.3.3")
def annotation_without_looks(pdf):
    become_field(pdf)


@mutant("7.18.3, mp 28-008, mp 28-009")
def order_of_rows(pdf):
    for page in pdf.pages:
        page.obj.Tabs = Name.R


@mutant("7.18.5, mp 28-011")
def link_in_no_link(pdf):
    element(pdf, "/Link").S = Name.Span


@mutant("7.18.5, mp 28-011")
def link_that_leads_elsewhere(pdf):
    link(pdf).StructParent = 9999


@mutant("7.18.1, 7.18.5, mp 28-004, mp 28-012")
def link_without_words(pdf):
    del link(pdf).Contents


@mutant("7.18.4, mp 28-010")
def field_in_no_form(pdf):
    become_field(pdf)


# Structure


@mutant("6.7.2.2, 6.2")
def not_tagged(pdf):
    del pdf.Root.MarkInfo


@mutant("6.7.3.3, 7.1")
def no_structure(pdf):
    del pdf.Root.StructTreeRoot


@mutant("6.7.3.3, 7.1")
def parent_not_named(pdf):
    element(pdf, "/TR").P = element(pdf, "/L")


@mutant("6.7.3.4, 7.1, mp 02-001, mp 02-003, mp 02-004")
def own_role(pdf):
    element(pdf, "/P").S = Name.Words


@mutant("7.2, mp 09-004, mp 09-005")
def cell_in_no_row(pdf):
    element(pdf, "/TR").S = Name.Sect


@mutant("7.2, mp 09-004, mp 09-005")
def item_in_no_list(pdf):
    element(pdf, "/L").S = Name.Sect


@mutant("6.7.4, 7.2, mp 11-001")
def no_language(pdf):
    del pdf.Root.Lang


@mutant("7.3, mp 13-004")
def figure_without_words(pdf):
    del element(pdf, "/Figure").Alt


@mutant("7.4.2, mp 14-002, mp 14-003")
def first_heading_of_second_level(pdf):
    element(pdf, "/H1").S = Name.H2


@mutant("7.4.2, mp 14-002, mp 14-003")
def level_left_out(pdf):
    element(pdf, "/H2").S = Name.H3


@mutant("7.4.4, mp 14-006, mp 14-007")
def heading_without_level(pdf):
    element(pdf, "/H2").S = Name.H


@mutant("7.5, mp 15-003")
def head_without_scope(pdf):
    del element(pdf, "/TH").A


@mutant("7.5, 7.2, mp 15-005: each row as long as the others, each table with heads")
def row_without_a_cell(pdf):
    row = element(pdf, "/TR")
    row.K = Array(list(row.K)[1:])


@mutant("7.6")
def list_of_no_kind(pdf):
    del element(pdf, "/L").A


@mutant("7.9, mp 19-003, mp 19-004")
def note_without_identity(pdf):
    element(pdf, "/P").S = Name.Note


@mutant("7.1: something is read")
def nothing_read(pdf):
    element(pdf, "/P").K = Array()
