"""What can be read on deflectors, pulleys and secondary sheaves.

Bands are common practice, no source.
"""

from inspections.kinds.asking import FIVE_YEARS, Asked
from inspections.kinds.kind import Kind, Subject, bound
from inspections.reasons import Term

KINDS = (
    Kind(
        code="pulley_groove_depth",
        name="depth of a pulley's groove",
        how=(
            "From the pulley's rim down to the ropes' seat, in every groove in which a "
            "rope runs, all at one visit; numbered from the side of rope 1."
        ),
        tells=(Term.PULLEY_GROOVES,),
        worn="pulley_groove_spread",
        asked=(
            Asked(step="pulleys", days=FIVE_YEARS, apart=("pulley", "pulley_groove")),
        ),
        noise_mm=0.10,
        subject=Subject.MACHINE,
        quantity="length",
        place=("pulley", "pulley_groove"),
        gauge="depth gauge",
        low=bound(0.0),
        high=bound(80.0),
    ),
)
