"""Lines of page one, each with the machine that it is about."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from reports import content

# Page one names this many lines of one kind; the machine pages have them all.
MOST_LINES = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class AnswerLine:
    """One paragraph, and the codes of the machines that it begins with."""

    text: str
    machines: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        head = ", ".join(self.machines)
        if not self.text.startswith(head):
            raise ValueError(f"{self.text[:40]!r} does not begin with {head!r}")


def some(names: Sequence[str], *, most: int = MOST_LINES) -> str:
    """Return names in a row; how many more where there are too many."""
    if len(names) <= most:
        return ", ".join(names)
    return _("%(names)s and %(count)s more") % {
        "names": ", ".join(names[:most]),
        "count": len(names) - most,
    }


def answer(*, question: str, lines: Iterable[AnswerLine]) -> content.AnsweredQuestion:
    """Return a question and the lines that answer it."""
    each = tuple(lines)
    return content.AnsweredQuestion(
        question=question,
        paragraphs=tuple(line.text for line in each),
        heads=tuple(line.machines for line in each),
    )


def plain(texts: Iterable[str]) -> tuple[AnswerLine, ...]:
    """Return texts as lines about no machine of their own."""
    return tuple(AnswerLine(text=text) for text in texts)


def together(lines: Iterable[AnswerLine]) -> tuple[AnswerLine, ...]:
    """Return the lines, those that say the same of several machines as one."""
    said: dict[tuple[str, bool], list[AnswerLine]] = {}
    for line in lines:
        head = f"{', '.join(line.machines)}: " if line.machines else ""
        key = line.text.removeprefix(head), bool(head)
        said.setdefault(key, []).append(line)
    return tuple(_one(rest, members) for (rest, _), members in said.items())


def _one(rest: str, members: list[AnswerLine]) -> AnswerLine:
    codes = tuple(dict.fromkeys(code for each in members for code in each.machines))
    if len(members) == 1 or not codes:
        return members[0]
    return AnswerLine(text=f"{', '.join(codes)}: {rest}", machines=codes)
