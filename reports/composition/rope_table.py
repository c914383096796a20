"""What was last read of each rope of the set."""

from django.utils.translation import gettext as _

from inspections.inputs import Snapshot
from reports import content
from reports.composition import words
from reports.composition.reader import Reader


def rope_table(snapshot: Snapshot, *, reader: Reader) -> content.Table | None:
    """Return the table of the rope set; None where the register has no ropes."""
    if not snapshot.ropes:
        return None
    return content.Table(
        title=_("Rope set"),
        columns=(
            content.Column(heading=_("Rope"), share=0.5),
            content.Column(heading=_("Runs in groove"), share=0.8),
            content.Column(heading=_("Diameter as fitted"), align=content.Align.RIGHT),
            content.Column(
                heading=_("Diameter, last reading"), align=content.Align.RIGHT
            ),
            content.Column(heading=_("Broken wires"), align=content.Align.RIGHT),
            content.Column(heading=_("Rouge")),
        ),
        rows=tuple(
            _row(snapshot, number, reader=reader)
            for number in range(len(snapshot.ropes))
        ),
    )


def _row(snapshot: Snapshot, number: int, *, reader: Reader) -> tuple[str, ...]:
    rope = snapshot.ropes[number]
    diameter = snapshot.latest("rope_diameter", rope_id=rope.pk)
    breaks = snapshot.latest("breaks_total", rope_id=rope.pk)
    rouge = snapshot.latest("rouge", rope_id=rope.pk)
    fitted = rope.diameter_as_fitted_mm
    grooves = ", ".join(str(g.number) for g in snapshot.grooves_of(rope=rope))
    return (
        str(rope.number),
        grooves or "–",
        reader.length(fitted) if fitted else _("not known"),
        reader.length(diameter.value)
        if diameter is not None and diameter.value is not None
        else _("not read"),
        f"{breaks.value:.0f}"
        if breaks is not None and breaks.value is not None
        else _("not counted"),
        words.said(rouge.word) if rouge is not None else _("not seen"),
    )
