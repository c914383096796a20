"""What a reading says by itself."""

from collections.abc import Mapping

from inspections.reasons.catalogue.sentence import QUANTITY, WORD, Sentence, say
from inspections.reasons.codes import Code

READINGS: Mapping[Code, Sentence] = {
    Code.BAND_BELOW: say(
        "{value:g} is at or below {limit:g}, the end of the usual band",
        value=QUANTITY,
        limit=QUANTITY,
    ),
    Code.BAND_ABOVE: say(
        "{value:g} is at or above {limit:g}, the end of the usual band",
        value=QUANTITY,
        limit=QUANTITY,
    ),
    Code.WORD_UNSAFE: say("{kind}: {word}", kind=WORD, word=WORD),
}
