"""What can be done about a machine, and how what is open is named."""

from enum import StrEnum

from inspections.reasons import Term, english


class OptionKind(StrEnum):
    """A course to take with a machine, from the least work to the most."""

    WATCH = "WATCH"
    MEASURE_FIRST = "MEASURE_FIRST"
    EQUALISE = "EQUALISE"
    DEGREASE = "DEGREASE"
    LUBRICATE = "LUBRICATE"
    SHORTEN = "SHORTEN"
    RE_ROPE = "RE_ROPE"
    REGROOVE_IN_PLACE = "REGROOVE_IN_PLACE"
    REGROOVE_IN_SHOP = "REGROOVE_IN_SHOP"
    RENEW_RIM = "RENEW_RIM"
    REPLACE_SHEAVE = "REPLACE_SHEAVE"

    @property
    def words(self) -> str:
        """What a reader is shown."""
        return english(work_of(self))

    @property
    def is_cut(self) -> bool:
        """Whether all grooves are turned deeper."""
        return self in (OptionKind.REGROOVE_IN_PLACE, OptionKind.REGROOVE_IN_SHOP)

    @property
    def renews_grooves(self) -> bool:
        """Whether the seats are as turned afterwards."""
        return self.is_cut or self in (OptionKind.RENEW_RIM, OptionKind.REPLACE_SHEAVE)

    @property
    def renews_ropes(self) -> bool:
        """Whether a whole matched rope set is fitted with it."""
        return self.renews_grooves or self is OptionKind.RE_ROPE

    @property
    def is_work(self) -> bool:
        """Whether something on the machine is changed."""
        return self not in (OptionKind.WATCH, OptionKind.MEASURE_FIRST)


def work_of(kind: OptionKind) -> Term:
    """Return what a kind of work is called, as a term."""
    return Term(f"work_{kind.lower()}")


class BoughtPart(StrEnum):
    """What is bought for a piece of work."""

    ROPE_SET = "ROPE_SET"
    RIM = "RIM"
    SHEAVE = "SHEAVE"
    LUBRICANT = "LUBRICANT"


class Possible(StrEnum):
    """Whether an option can be carried out, as far as is known."""

    YES = "YES"
    NO = "NO"
    NOT_KNOWN = "NOT_KNOWN"
