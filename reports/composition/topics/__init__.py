"""Findings' topics in plain words.

Words that promise nothing: a report says what was read and worked out, never that
something is safe.
"""

from collections.abc import Mapping

from inspections.reasons import Topic
from reports.composition.topics import grooves, ropes, running
from reports.composition.topics.record import TopicWords

TOPICS: Mapping[Topic, TopicWords] = {
    **grooves.TOPICS,
    **ropes.TOPICS,
    **running.TOPICS,
}

__all__ = ["TOPICS", "TopicWords"]
