"""What is said of one topic, whatever the machine."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class TopicWords:
    """A topic in plain words; the texts are marked for translation, not translated."""

    what: str
    meaning: str
    decision: str
    remedy: str
