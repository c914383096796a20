"""The catalogue: from codes to whole sentences, from terms to names, in English.

The English text is the key under which other languages are looked up.
"""

from collections.abc import Mapping

from inspections.reasons.catalogue.blocks import BLOCKS
from inspections.reasons.catalogue.cautions import CAUTIONS
from inspections.reasons.catalogue.criteria import CRITERIA
from inspections.reasons.catalogue.cuts import CUTS
from inspections.reasons.catalogue.discard import DISCARD
from inspections.reasons.catalogue.doubts import DOUBTS
from inspections.reasons.catalogue.due import DUE
from inspections.reasons.catalogue.findings import FINDINGS
from inspections.reasons.catalogue.forecasts import FORECASTS
from inspections.reasons.catalogue.general import GENERAL
from inspections.reasons.catalogue.items import ITEMS
from inspections.reasons.catalogue.labels import LABELS
from inspections.reasons.catalogue.open import OPEN, UNKNOWNS
from inspections.reasons.catalogue.options import OPTIONS
from inspections.reasons.catalogue.orders import ORDERS
from inspections.reasons.catalogue.places import PLACES
from inspections.reasons.catalogue.plans import PLANS
from inspections.reasons.catalogue.readings import READINGS
from inspections.reasons.catalogue.rims import RIMS
from inspections.reasons.catalogue.sentence import Sentence
from inspections.reasons.catalogue.steps import STEPS
from inspections.reasons.catalogue.traction import TRACTION
from inspections.reasons.catalogue.validity import VALIDITY
from inspections.reasons.catalogue.verdicts import VERDICTS
from inspections.reasons.catalogue.visits import VISITS
from inspections.reasons.catalogue.words import WORDS
from inspections.reasons.catalogue.works import WORKS
from inspections.reasons.codes import Code

SENTENCES: Mapping[Code, Sentence] = {
    **GENERAL,
    **VALIDITY,
    **VERDICTS,
    **DISCARD,
    **TRACTION,
    **BLOCKS,
    **RIMS,
    **FINDINGS,
    **FORECASTS,
    **DUE,
    **OPEN,
    **READINGS,
    **OPTIONS,
    **CUTS,
    **DOUBTS,
    **CAUTIONS,
    **PLANS,
    **VISITS,
}
__all__ = ["NAMES", "PLACES", "SENTENCES", "WORDS"]
# What a term, a criterion and a topic is called.
NAMES: Mapping[str, str] = {
    **ITEMS,
    **CRITERIA,
    **LABELS,
    **WORKS,
    **ORDERS,
    **UNKNOWNS,
    **STEPS,
}
