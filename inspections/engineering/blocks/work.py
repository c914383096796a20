"""Blocks that lie in planned work and in readings."""

from inspections.engineering.blocks.facts import Block, Blocked, BlockFacts
from inspections.reasons import Code, Quantity, Term, because

_BANDS_DIFFER_PERCENT = 30.0
_READING_NOISE_MM = 0.1


def on_work(*, facts: BlockFacts) -> tuple[Block, ...]:
    """Return what blocks renewing ropes, equalising or lubricating.

    Parameters
    ----------
    facts : what the register and the visit say

    Raises nothing; the facts have checked their values.

    Source: Cal. Code Regs. title 8, 3085.21(h) and WAC 296-96-24163(9): the whole set
    (confirmed); the rest is common practice.

    >>> [each.code for each in on_work(facts=BlockFacts(ropes=5, ropes_to_renew=1))]
    ['part-of-a-set']
    """
    found = _on_renewal(facts)
    if facts.uneven_grooves_remain:
        found.append(
            Block(
                code="uneven-feed",
                what=Blocked.EQUALISING,
                reason=because(Code.UNEVEN_FEED),
            )
        )
    if facts.slip_or_traction_open:
        found.append(
            Block(
                code="lubrication-while-slip-is-open",
                what=Blocked.LUBRICATION,
                reason=because(Code.NO_LUBRICANT),
            )
        )
    return tuple(found)


def _on_renewal(facts: BlockFacts) -> list[Block]:
    found: list[Block] = []
    renew, ropes = facts.ropes_to_renew, facts.ropes
    if renew is not None and ropes is not None and 0 < renew < ropes:
        found.append(
            Block(
                code="part-of-a-set",
                what=Blocked.RENEWAL,
                reason=because(Code.PART_OF_A_SET, renew=renew, ropes=ropes),
            )
        )
    grades = tuple(f"{grade_mpa:g} MPa" for grade_mpa in facts.grades_mpa)
    for what, values in ((Term.GRADE, grades), (Term.LAY, facts.lays)):
        if len(set(values)) > 1:
            found.append(
                Block(
                    code=f"mixed-{what}",
                    what=Blocked.RENEWAL,
                    reason=because(
                        Code.MIXED_SET, what=what, values=tuple(sorted(set(values)))
                    ),
                )
            )
    if facts.new_rope_thicker_than_seat:
        found.append(
            Block(
                code="rope-thicker-than-seat",
                what=Blocked.RENEWAL,
                reason=because(Code.ROPE_THICKER_THAN_SEAT),
            )
        )
    return found


def on_readings(*, facts: BlockFacts) -> tuple[Block, ...]:
    """Return readings that cannot be used as they are, and why.

    Parameters
    ----------
    facts : what the register and the visit say

    Raises nothing; the facts have checked their values.

    Source: range of the method; common practice, no source.

    >>> on_readings(facts=BlockFacts(crown_rise_mm=0.4))[0].code
    'crown-rose'
    """
    found: list[Block] = []
    if facts.seat_bands_mm is not None and _differ(facts.seat_bands_mm):
        left, right = facts.seat_bands_mm
        found.append(
            Block(
                code="uneven-seat-bands",
                what=Blocked.TRACTION,
                reason=because(Code.SEAT_BANDS_DIFFER, left=left, right=right),
            )
        )
    growth = facts.diameter_growth_mm
    if growth is not None and growth > _READING_NOISE_MM:
        found.append(
            Block(
                code="rope-got-thicker",
                what=Blocked.READING,
                reason=because(Code.ROPE_GOT_THICKER, growth=Quantity(growth, "mm")),
            )
        )
    rise = facts.crown_rise_mm
    if rise is not None and rise > _READING_NOISE_MM:
        found.append(
            Block(
                code="crown-rose",
                what=Blocked.READING,
                reason=because(Code.CROWN_ROSE, rise=Quantity(rise, "mm")),
            )
        )
    read, most = facts.clearance_mm, facts.clearance_most_mm
    if read is not None and most is not None and read > most + _READING_NOISE_MM:
        found.append(
            Block(
                code="clearance-above-new",
                what=Blocked.READING,
                reason=because(
                    Code.CLEARANCE_ABOVE_NEW,
                    read=Quantity(read, "mm"),
                    new=Quantity(most, "mm"),
                ),
            )
        )
    return tuple(found)


def _differ(bands_mm: tuple[float, float]) -> bool:
    widest = max(bands_mm)
    share = 100.0 * (widest - min(bands_mm))
    return widest > 0.0 and share > _BANDS_DIFFER_PERCENT * widest
