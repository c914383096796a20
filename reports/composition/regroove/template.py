"""The grooves as they are to be turned, at true size, to be held against the rim."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inspections.decisions.records import GrooveDrawing, RegrooveOrder
from inspections.engineering.cut import CutPlan
from inspections.inputs import Snapshot
from reports import content
from reports.composition import groove_figure
from reports.composition.reader import Reader
from reports.composition.regroove import around
from reports.figures import outlines

# So wide a template fits between the margins of either paper.
_WIDEST_MM = 110.0
_MOST_GROOVES = 3
# What a rule must find on the paper, across and upright: round in the reader's unit.
_ACROSS_MM = {True: 100.0, False: 101.6}
_UPRIGHT_MM = {True: 20.0, False: 25.4}
_BELOW_MM = 6.0
# Without a registered pitch one groove is drawn, this wide for its rope.
_WIDTH_OF_ONE = 1.64


def at_true_size(
    snapshot: Snapshot,
    plan: CutPlan | None,
    order: RegrooveOrder,
    drawing: GrooveDrawing,
    *,
    then: Snapshot,
    reader: Reader,
) -> content.Template | None:
    """Return the template of the grooves of `then`.

    None where form or depth is not known: nothing is guessed. Neighbours are drawn
    where the pitch is registered.
    """
    rope_set = then.rope_set
    if plan is None or rope_set is None:
        return None
    found = groove_figure.deepest(snapshot, rather=plan.deepest_groove)
    if found is None:
        return None
    diameter = rope_set.nominal_diameter_mm
    found = groove_figure.to_be_cut(found, then)
    turned = groove_figure.shape_of(
        found.kernel,
        seat_bottom=found.seat_bottom_mm + plan.cut_depth_mm,
        diameter=diameter,
    )
    registered = around.pitch_of(drawing)
    pitch = registered or _WIDTH_OF_ONE * diameter
    fitting = int(_WIDEST_MM // pitch)
    count = max(1, min(len(snapshot.grooves), _MOST_GROOVES, fitting))
    outline = outlines.outline(shape=turned, half_width_mm=pitch / 2)
    return content.Template(
        title=_("Template at true size"),
        outline=outline,
        pitch_mm=pitch,
        count=count if registered else 1,
        floor_mm=min(y for _x, y in outline) - _BELOW_MM,
        dimensions=tuple(
            _dimensions(
                registered,
                around.land_mm(turned, pitch) if found.rim_is_read else None,
                count,
                reader=reader,
            )
        ),
        ruler=_ruler(_ACROSS_MM, reader=reader),
        ruler_upright=_ruler(_UPRIGHT_MM, reader=reader),
        caption=" ".join(
            (found.note, *_told(order, bool(registered), reader=reader))
        ).strip(),
        description=ngettext(
            "%(count)s groove as it is to be turned, at true size.",
            "%(count)s grooves as they are to be turned, at true size.",
            count,
        )
        % {"count": count},
    )


def _ruler(lengths: dict[bool, float], *, reader: Reader) -> content.ScaleBar:
    length = lengths[reader.is_metric]
    return content.ScaleBar(length_mm=length, label=reader.length(length, digits=0))


def _dimensions(
    pitch_mm: float | None, land_mm: float | None, count: int, *, reader: Reader
) -> Iterator[content.Dimension]:
    """Yield the pitch of two grooves, and the land between them where the rim is read.

    Measures stand above the rim, y = 0.
    """
    if pitch_mm is None or count <= 1:
        return
    yield content.Dimension(
        start=(0.0, 6.0),
        end=(pitch_mm, 6.0),
        label=_("pitch %(length)s") % {"length": reader.length(pitch_mm)},
    )
    if land_mm:
        yield content.Dimension(
            start=((pitch_mm - land_mm) / 2, 2.0),
            end=((pitch_mm + land_mm) / 2, 2.0),
            label=_("land %(length)s") % {"length": reader.length(land_mm, digits=1)},
        )


def _told(order: RegrooveOrder, has_pitch: bool, *, reader: Reader) -> Iterator[str]:
    across = reader.length(_ACROSS_MM[reader.is_metric], digits=0)
    upright = reader.length(_UPRIGHT_MM[reader.is_metric], digits=0)
    yield _(
        "True size only where a steel rule finds %(across)s and %(upright)s at the two "
        "bars; if it does not, the paper was printed to another size and nothing is to "
        "be held against it."
    ) % {"across": across, "upright": upright}
    yield _(
        "Paper shows the form; the groove gauge and the values of the table decide."
    )
    if not has_pitch:
        yield _("The pitch is not registered: one groove is drawn.")
    if not order.may_be_placed:
        yield _("This order may not be placed yet: nothing is to be turned by it.")
