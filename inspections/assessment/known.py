"""What the topics of one machine share, or why it could not be worked out."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from inspections.assessment import machine_blocks
from inspections.assessment.draft import Draft
from inspections.engineering import suspension
from inspections.engineering.answer import Axis
from inspections.engineering.blocks import Block
from inspections.engineering.criteria import FieldTest
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.rope import RopeProperties
from inspections.engineering.suspension import (
    CaseTensions,
    DepthLimit,
    RegisterSpread,
    Suspension,
    TractionRules,
)
from inspections.inputs import (
    GrooveSeats,
    Missing,
    NotJudged,
    ReadValue,
    SeatReading,
    Snapshot,
)
from inspections.inputs.snapshot import Item
from inspections.reasons import Reason, Term, missing, together

# What a V's clearance is counted from.
_BOTTOM = "bottom_width_mm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of one machine; None where something lacks.

    `test` is the traction test that stands.
    `lacking` says what keeps traction from being worked out, None where nothing does.
    `limits` are those of every groove of a single wrap; None in double wrap, where
    they depend on the pair. `worst` are the deepest credible seats. `differing` are
    the findings on what was read otherwise than the register has it. `assumed` are the
    ranges of what the register does not have, with the usual value in its place.
    Where masses, wrap or groove lack, `supposed` is the machine with usual ones in
    their place, and its `not_registered` what they are. `carried` is what hangs on the
    ropes where only weight makes it worse: `suspension` with the heavier car of
    register and reading, and `weighed` the reading that says so. `others` are the same
    machine with the other masses and wraps that may be; `read` is what of its own
    masses and wrap was read and is not registered. Of one that `is_other` the masses
    are not those that the findings of the machine share.
    """

    snapshot: Snapshot
    rules: TractionRules
    test: FieldTest | None
    blocks: tuple[Block, ...]
    lacking: Reason | None
    groove: TurnedGroove | None = None
    rope: RopeProperties | None = None
    suspension: Suspension | None = None
    carried: Suspension | None = None
    weighed: tuple[ReadValue, ...] = ()
    read: tuple[ReadValue, ...] = ()
    spread: RegisterSpread | None = None
    seats: Mapping[int, GrooveSeats]
    worst: Mapping[int, SeatReading] = field(default_factory=dict)
    cases: tuple[CaseTensions, ...] = ()
    limits: tuple[DepthLimit, ...] | None = None
    differing: tuple[Draft, ...] = ()
    assumed: Mapping[str, Axis] = field(default_factory=dict)
    supposed: "Known | None" = None
    not_registered: tuple[Item, ...] = ()
    others: "tuple[Known, ...]" = ()
    is_other: bool = False

    @property
    def with_groove(self) -> "Known":
        """The machine itself, or with the usual groove where its own is not known."""
        return self.supposed if self.groove is None and self.supposed else self

    @property
    def rope_stiffness_n(self) -> float | None:
        """E·A of one rope by register and certificate [N]; None if not known."""
        rope_set = self.snapshot.rope_set
        modulus_mpa = rope_set.modulus_mpa if rope_set else None
        area_mm2 = self.rope.area_mm2 if self.rope else None
        return modulus_mpa * area_mm2 if modulus_mpa and area_mm2 else None

    def not_judged(self) -> Missing:
        """Return what to raise where traction has to be known and is not."""
        return NotJudged(self.lacking or missing(Term.MASSES_AND_GROOVE))

    def has_unused_clearance(self, *, groove_id: int | None = None) -> bool:
        """Return whether a clearance was read and nobody knows what it was as cut.

        Of one groove, or of any: its depth may be that of a seat worn out.
        """
        cut = self.groove
        if cut is None or not (cut.bottom_is_unknown or _BOTTOM in self.assumed):
            return False
        return any(
            groove_id is None or reading.groove_id == groove_id
            for reading in self.snapshot.of_kind(
                "bottom_clearance", "groove_bottom_depth"
            )
        )

    def stops(self, topic: str) -> Reason | None:
        """Return why a topic is blocked on the whole machine, None if it is not."""
        return together(
            block.reason
            for block in self.blocks
            if topic in machine_blocks.STOPS.get(block.code, ())
        )

    def limits_at(self, depths_mm: tuple[float, ...]) -> tuple[DepthLimit, ...]:
        """Return how deep the seat may sink before each case no longer closes.

        Raises Missing where masses or groove are not known.
        """
        if self.limits is not None:
            return self.limits
        if self.suspension is None or self.groove is None or self.spread is None:
            raise Missing(Term.MASSES_AND_GROOVE)
        return suspension.depth_limits(
            suspension=self.suspension,
            groove=self.groove,
            seat_depths_mm=depths_mm,
            rules=self.rules,
            spread=self.spread,
        )
