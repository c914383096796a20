"""Findings in plain words: what was looked at, what it means, what would help.

Words that promise nothing: a report says what was read and worked out, never that
something is safe.
"""

from dataclasses import dataclass

from inspections.models import Finding, Grade

CASES = {
    "LOADING": "car being loaded to 125 %",
    "BRAKING_FULL": "full car braking on its way down",
    "BRAKING_EMPTY": "empty car braking on its way up",
    "STALLED_COUNTERWEIGHT": "counterweight landed, machine still turning",
    "STALLED_CAR": "car landed, machine still turning",
    "BOTTOMING": "rope reaching the bottom of its groove",
    "ROPE_DIAMETER": "rope diameter",
    "RUNBY": "counterweight run-by",
}

REGISTER_ITEMS = {
    "car_mass_kg": "the mass of the empty car",
    "balance_ratio": "the balance",
    "counterweight_mass_kg": "the mass of the counterweight",
    "wrap_angle_rad": "the angle of wrap",
    "friction_ratio": "the friction coefficient",
    "groove_angle_rad": "the groove angle",
    "undercut_angle_rad": "the undercut angle",
    "bottom_clearance_mm": "the clearance as new",
    "rope_diameter_mm": "the rope diameter",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Topic:
    """What is said of one topic, whatever the machine."""

    what: str
    meaning: str
    decision: str
    remedy: str


_TOPICS = {
    "traction": Topic(
        what="Traction of the ropes on the sheave",
        meaning="The ropes are held by friction alone; the margin is what the worn "
        "groove holds beyond what the load asks for.",
        decision="Regroove with new ropes, or replace the drive sheave",
        remedy="Enter what is missing in the register, or measure the grooves",
    ),
    "traction, stalled": Topic(
        what="Traction with car or counterweight landed",
        meaning="When car or counterweight has landed, the ropes must slip unless "
        "the drive itself stops.",
        decision="State how the stalled drive is stopped",
        remedy="Enter how the stalled drive is stopped",
    ),
    "bottom clearance": Topic(
        what="Clearance between rope and groove bottom",
        meaning="When the rope touches the bottom of its groove, traction is lost "
        "within a few hundredths of a millimetre of wear.",
        decision="Regroove with new ropes, or replace the drive sheave",
        remedy="Measure the clearance with wire or feeler",
    ),
    "broken wires": Topic(
        what="Broken wires",
        meaning="Counted on the worst length of the rope that was looked at.",
        decision="Renew the whole rope set",
        remedy="Count broken wires by eye and cloth, ropes stopped and locked out",
    ),
    "rope diameter": Topic(
        what="Rope diameter",
        meaning="A rope that has grown thin has lost metal or its core has settled.",
        decision="Renew the whole rope set",
        remedy="Measure each rope in two directions",
    ),
    "rope discard": Topic(
        what="Rope condition",
        meaning="The criteria for discarding a rope could not be applied.",
        decision="Have the ropes looked at",
        remedy="Correct the readings named here",
    ),
    "rouge most": Topic(
        what="Rouge (the rope's own red-brown powder)",
        meaning="Rouge comes from wires rubbing inside the rope and makes other "
        "limits stricter.",
        decision="Renew the whole rope set",
        remedy="Look at the ropes, stopped and locked out",
    ),
    "sheave over rope diameter": Topic(
        what="Sheave diameter over rope diameter",
        meaning="Ropes bent over a small sheave tire sooner.",
        decision="Check the rope diameter against the sheave",
        remedy="Enter sheave and rope diameter",
    ),
    "rope safety factor": Topic(
        what="Safety factor of the ropes",
        meaning="Breaking force of all ropes over what hangs from them.",
        decision="Check the rope set against the load",
        remedy="Enter rope construction, grade, masses and pulleys",
    ),
    "rim metal": Topic(
        what="Metal under the grooves",
        meaning="The thinnest place round the rim decides, after taper and run-out "
        "of the casting.",
        decision="No further cut on this rim without the maker's word; plan a new "
        "sheave",
        remedy="A rim survey: thickness at several places and marks, run-out",
    ),
    "room for a cut": Topic(
        what="Room for another cut of the grooves",
        meaning="A cut goes to the deepest seat plus clean-up in every groove; the "
        "thinnest groove decides whether it fits.",
        decision="Plan a new sheave or rim instead of regrooving",
        remedy="The maker's least metal, a crack check and hardness",
    ),
    "check": Topic(
        what="Looked at by eye",
        meaning="",
        decision="Out of service until a competent person has decided",
        remedy="Look again",
    ),
    "rope tension": Topic(
        what="How evenly the ropes carry",
        meaning="A rope that carries more than the others wears its groove faster.",
        decision="Equalise the tensions",
        remedy="Read the tension of every rope at bottom and top",
    ),
    "tension swing": Topic(
        what="Change of the ropes' shares over the travel",
        meaning="Shares that change between bottom and top show grooves of unequal "
        "depth; equalising alone does not last then.",
        decision="Have the grooves measured; plan regrooving with new ropes",
        remedy="Read the tension of every rope at bottom and top",
    ),
    "counterweight run-by": Topic(
        what="Counterweight run-by",
        meaning="Ropes stretch; when the run-by is used up the counterweight lands "
        "before the car is at the top.",
        decision="Shorten the ropes",
        remedy="Measure with the car at the top landing",
    ),
    "gaps of the criteria set": Topic(
        what="Limits the criteria set does not give",
        meaning="",
        decision="",
        remedy="The contractor can enter values from its own copy of the standard",
    ),
    "rope slip": Topic(
        what="Slip of the ropes",
        meaning="Ropes seen to slip on the sheave outrank any calculation.",
        decision="Out of service until a competent person has decided",
        remedy="A slip test by two competent persons",
    ),
    "brake": Topic(
        what="Brake",
        meaning="A brake that slides does not hold the car.",
        decision="Out of service until a competent person has decided",
        remedy="A brake test by competent persons",
    ),
    "rim hardness": Topic(
        what="Hardness of the rim",
        meaning="Soft or patchy iron wears faster.",
        decision="Plan for faster wear",
        remedy="A portable tester on the rim lands",
    ),
    "car speed": Topic(
        what="Car speed",
        meaning="A smaller sheave makes the car slower against its governor.",
        decision="Have speed and governor checked",
        remedy="A tachometer",
    ),
}


def topic(name: str) -> Topic:
    """Return what is said of a topic; a plain one for topics without own words."""
    found = _TOPICS.get(name)
    if found is not None:
        return found
    return Topic(
        what=name[:1].upper() + name[1:],
        meaning="",
        decision="Have it looked at by a competent person",
        remedy="Look at it again",
    )


def meaning(finding: Finding) -> str:
    """Return a finding's sentence for a layman, the worst load case named."""
    words = topic(finding.topic)
    parts = [words.meaning]
    if finding.topic == "traction" and "worst" in finding.detail:
        case = next(
            c
            for c in finding.detail["cases"]
            if c["tensions"]["case"] == finding.detail["worst"]
        )
        tensions = case["tensions"]
        ratio = tensions["t1_n"] / tensions["t2_n"] * case["dynamic_factor"]
        parts.append(
            f"Closest case: {CASES[finding.detail['worst']]}. The load asks for a "
            f"ratio of {ratio:.2f}, the groove as worn holds "
            f"{case['limit_ratio']:.2f} by the calculation."
        )
    if finding.unconfirmed:
        parts.append("A reading behind this is unconfirmed; it is taken as true.")
    if finding.grade != Grade.IN_ORDER and finding.reason:
        parts.append(_sentence(finding.reason))
    return " ".join(part for part in parts if part)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].rstrip(".") + "."
