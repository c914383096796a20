"""What a scenario costs by the contractor's own rates, and what is not priced."""

from dataclasses import dataclass

from inspections import inputs
from inspections.decisions import costing
from inspections.decisions.records import MachineFacts, OptionKind, Rates
from inspections.engineering.verdict import Item
from inspections.inputs import Snapshot
from inspections.scenarios import into_work
from inspections.scenarios.changes import Changes
from inspections.scenarios.items import ITEMS, Part

_HAS_NO_PRICE = (Part.MACHINE, Part.PULLEY)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScenarioCost:
    """The cost of the kind of work that does most of it.

    `not_priced` are changes that no kind of work of the list does, `missing` what lacks
    to say the cost: low, mid and high are None then.
    """

    option: OptionKind | None
    currency: str
    low: float | None
    mid: float | None
    high: float | None
    missing: tuple[Item, ...]
    not_priced: tuple[str, ...]
    rope_length_m: float | None
    rope_length_measured: bool


def cost_of(then: Snapshot, changes: Changes, rates: Rates) -> ScenarioCost:
    """Return what a scenario costs; a cut pays for the new ropes that it supposes."""
    kind = into_work.option_of(changes.as_json())
    length = inputs.rope_length_of(then)
    left_out = tuple(
        name for name, _ in changes.pairs if ITEMS[name].part in _HAS_NO_PRICE
    )
    found = None
    if kind is not None:
        found = costing.estimate(
            kind=kind,
            facts=MachineFacts(
                machine_key=then.machine.pk,
                criteria_set=then.criteria,
                rope_count=then.rope_set.ropes_count if then.rope_set else None,
                rope_length_m=length.metres if length else None,
                rope_length_spread=length.spread if length else 0.0,
            ),
            rates=rates,
        )
    return ScenarioCost(
        option=kind,
        currency=found.currency if found else rates.currency,
        low=found.low if found else None,
        mid=found.mid if found else None,
        high=found.high if found else None,
        missing=found.missing if found else (),
        not_priced=left_out,
        rope_length_m=length.metres if length else None,
        rope_length_measured=length.is_measured if length else False,
    )
