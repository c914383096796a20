"""What options say, in the active language and with the reader's own days."""

from collections.abc import Iterable

from inspections.engineering.verdict import Item
from inspections.planning import kinds
from inspections.reasons import UnknownTerm
from inspections.reasons.gathering import gathered as together
from reports.composition import reasons
from reports.composition.reader import Reader


def kind(code: str, *, reader: Reader) -> str:
    """Return a kind of work in words."""
    return reasons.name(kinds.TERMS.get(code) or UnknownTerm(code), reader=reader)


def listed(items: Iterable[Item], *, reader: Reader) -> str:
    """Return several sentences in a row, each of them once."""
    return "; ".join(gathered(items, reader=reader))


def gathered(items: Iterable[Item], *, reader: Reader) -> tuple[str, ...]:
    """Return sentences, each once; what differs in grooves or places alone as one."""
    said = (reasons.item(each, reader=reader) for each in together(items))
    return tuple(dict.fromkeys(said))
