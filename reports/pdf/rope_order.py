"""The order of a rope set: what to order, rope by rope, what stands against it."""

from reportlab.platypus import Flowable

from reports import content
from reports.pdf import appendix, blocks, front, styles
from reports.pdf.page import Sheet
from reports.pdf.regroove import listed
from reports.pdf.service import signed
from reports.pdf.text import Run, paragraph


def story(order: content.RopeOrder, sheet: Sheet) -> list[Flowable]:
    """Return the flowables of the whole order."""
    wording, width = order.wording, sheet.width
    title = [
        Run(text=f"{order.machine_code}  ", bold=True),
        Run(text=order.machine_name),
    ]
    facts = blocks.rows(order.description, width=width, label_share=0.2)
    drawn: list[Flowable] = [
        *front.masthead(sheet),
        paragraph(title, style=styles.MACHINE),
        blocks.gap(6),
        front.headline(order.headline, width=width),
        *listed(wording.not_placed, order.because, sheet),
        *listed(wording.not_known, order.not_known, sheet),
        blocks.section(wording.what_it_is, facts, width=width),
    ]
    tables = (order.to_order, order.ropes, order.before_fitting, order.after_fitting)
    for table in tables:
        if table is not None:
            drawn += blocks.titled_table(
                table, width=width, wording=wording, page_height=sheet.body_height
            )
    sign = blocks.section(wording.supplier, signed(order.sign, sheet), width=width)
    drawn.append(sign)
    for text in order.cautions:
        line = blocks.grid([[paragraph(text, style=styles.NOTE)]], [width])
        drawn += [blocks.gap(4), line]
    return [*drawn, blocks.gap(12), *appendix.cautions(sheet)]
