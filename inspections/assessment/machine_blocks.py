"""What keeps topics of a machine as a whole from being judged at all."""

from inspections.engineering import blocks
from inspections.engineering.blocks import Block, BlockFacts
from inspections.inputs import Snapshot

# What each block of a machine stops; a rope that is condemned is condemned anyway.
STOPS = {
    "not-a-steel-rope": {"traction", "pressure", "strength", "ropes"},
    "lined-grooves": {"traction", "pressure"},
    "roping-above-2-to-1": {"traction", "pressure", "strength"},
    "too-few-ropes": {"traction", "strength"},
}
_HANGS_ON = {
    "STEEL_ROPE": blocks.SuspensionMeans.STEEL_ROPE,
    "COATED_ROPE": blocks.SuspensionMeans.COATED_ROPE,
    "BELT": blocks.SuspensionMeans.BELT,
}


def of(snapshot: Snapshot) -> tuple[Block, ...]:
    """Return what blocks the machine as a whole."""
    rope_set, geometry = snapshot.rope_set, snapshot.geometry
    hangs_on = blocks.SuspensionMeans.STEEL_ROPE
    if rope_set is not None:
        hangs_on = _HANGS_ON[rope_set.suspension]
    facts = BlockFacts(
        suspension=hangs_on,
        lined_grooves=geometry is not None and geometry.surface == "LINED",
        roping_ratio=snapshot.machine.roping_ratio,
        ropes=rope_set.ropes_count if rope_set else None,
    )
    return blocks.find(facts=facts, criteria_set=snapshot.criteria)
