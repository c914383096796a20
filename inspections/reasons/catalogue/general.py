"""What several rooms say."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import ITEMS, TEXT, Sentence, say
from inspections.reasons.codes import Code

GENERAL: Mapping[Code, Sentence] = {
    Code.MISSING: say("missing: {items}", items=ITEMS),
    Code.NOTE: say("{text}", text=TEXT),
}
