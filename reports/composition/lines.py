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


def together(lines: Iterable[AnswerLine]) -> tuple[AnswerLine, ...]:
    """Return the lines, those that say the same of several machines as one."""
    said: dict[str, list[AnswerLine]] = {}
    for line in lines:
        rest = line.text.removeprefix(f"{line.machine}: ") if line.machine else ""
        key = rest if rest != line.text else ""
        said.setdefault(key or line.text, []).append(line)
    return tuple(
        members[0]
        if len(members) == 1
        else AnswerLine(
            text=f"{', '.join(dict.fromkeys(m.machine for m in members))}: {rest}",
            machine=members[0].machine,
        )
        for rest, members in said.items()
    )
