"""What can be planned, and as which kind of work it is reported done."""

from fleet.register.choices import WorkKind
from inspections.decisions.records import OptionKind

# Setting tensions again after new ropes; it follows work and is never an option.
RETENSION = "RETENSION"
# Reading what could not be proven when work was reported.
MEASURE_AS_LEFT = "MEASURE_AS_LEFT"

WORDS = {str(kind): kind.words for kind in OptionKind} | {
    RETENSION: "measure and set the rope tensions again",
    MEASURE_AS_LEFT: "measure what was left after the work",
}
ALL = tuple(WORDS)

REPORTED_AS = {
    str(OptionKind.EQUALISE): WorkKind.EQUALISING,
    str(OptionKind.LUBRICATE): WorkKind.LUBRICATION,
    str(OptionKind.SHORTEN): WorkKind.SHORTENING,
    str(OptionKind.RE_ROPE): WorkKind.ROPING,
    str(OptionKind.REGROOVE_IN_PLACE): WorkKind.REGROOVING,
    str(OptionKind.REGROOVE_IN_SHOP): WorkKind.REGROOVING,
    str(OptionKind.RENEW_RIM): WorkKind.RIM_RENEWAL,
    str(OptionKind.REPLACE_SHEAVE): WorkKind.SHEAVE_REPLACEMENT,
    RETENSION: WorkKind.EQUALISING,
}
