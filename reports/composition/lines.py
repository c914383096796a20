"""Lines of page one, each with the machine that it is about."""

from collections.abc import Iterable
from dataclasses import dataclass

from reports import content


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerLine:
    """One paragraph, and the code of its machine; "" where it is about several."""

    text: str
    machine: str = ""


def answer(*, question: str, lines: Iterable[AnswerLine]) -> content.OwnerAnswer:
    """Return a question and the lines that answer it."""
    each = tuple(lines)
    return content.OwnerAnswer(
        question=question,
        paragraphs=tuple(line.text for line in each),
        machines=tuple(line.machine for line in each),
    )


def plain(texts: Iterable[str]) -> tuple[AnswerLine, ...]:
    """Return texts as lines about no machine of their own."""
    return tuple(AnswerLine(text=text) for text in texts)
