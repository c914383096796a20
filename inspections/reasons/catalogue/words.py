"""What words that are read stand for, where they say too much by themselves."""

from collections.abc import Mapping

# As they are sent and stored -> as a reader takes them: "pass" would be a promise, and
# what was not looked at has not been found without a defect.
WORDS: Mapping[str, str] = {
    "pass": "no defect seen",
    "not seen": "not looked at",
    "held": "the ropes held",
    "slipped": "the ropes slipped",
}
