"""Which readings a finding asks for that could not be judged without them."""

from collections.abc import Iterator, Mapping

from inspections.kinds import KINDS
from inspections.models import Finding, Grade
from inspections.reasons import Code, Reason, Term, from_json

_TOLD = [(each, kind.code) for kind in KINDS.values() for each in kind.tells]
# What a reason names as missing -> the kinds of reading that tell it. What no kind
# tells is looked up or entered in the register.
BY_TERM: Mapping[str, tuple[str, ...]] = {
    term: codes
    for term in Term
    if (codes := tuple(code for told, code in _TOLD if told is term))
}
# Reasons that ask for a reading as a whole.
BY_CODE: Mapping[Code, tuple[str, ...]] = {
    reason: codes
    for reason in Code
    if (codes := tuple(code for told, code in _TOLD if told is reason))
}
# What they name is missing, and a reading of it is asked for.
NAMING = frozenset({Code.MISSING, Code.STILL_MISSING, Code.LIMIT_BETWEEN})


def kinds(finding: Finding) -> frozenset[str]:
    """Return the kinds of reading for lack of which a finding could not be judged."""
    said = from_json(finding.said)
    if finding.grade != Grade.NOT_ASSESSED or said is None:
        return frozenset()
    return frozenset(_kinds(said))


def _kinds(said: Reason) -> Iterator[str]:
    """Yield what each sentence asks for; not what one criterion of several lacks."""
    for reason in (said, *said.also):
        yield from _of_code(reason)
        items = reason.get("items")
        if reason.code in NAMING and isinstance(items, tuple):
            for item in items:
                if isinstance(item, Reason):
                    yield from _of_code(item)
                elif isinstance(item, str):
                    yield from BY_TERM.get(item, ())


def _of_code(reason: Reason) -> tuple[str, ...]:
    return BY_CODE.get(reason.code, ()) if isinstance(reason.code, Code) else ()
