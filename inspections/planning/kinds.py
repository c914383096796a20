"""What can be planned, and as which kind of work it is reported done."""

from fleet.register.choices import WorkKind
from inspections.decisions.records import OptionKind
from inspections.decisions.records.kind import work_of
from inspections.reasons import Term, english

# Setting tensions again after new ropes; it follows work and is never an option.
RETENSION = "RETENSION"
# Reading what could not be proven when work was reported.
MEASURE_AS_LEFT = "MEASURE_AS_LEFT"

TERMS = {str(kind): work_of(kind) for kind in OptionKind} | {
    RETENSION: Term.WORK_RETENSION,
    MEASURE_AS_LEFT: Term.WORK_MEASURE_AS_LEFT,
}
WORDS = {kind: english(term) for kind, term in TERMS.items()}
ALL = tuple(WORDS)

REPORTED_AS = {
    str(OptionKind.EQUALISE): WorkKind.EQUALISING,
    # Either changes what lies between rope and groove.
    str(OptionKind.DEGREASE): WorkKind.LUBRICATION,
    str(OptionKind.LUBRICATE): WorkKind.LUBRICATION,
    str(OptionKind.SHORTEN): WorkKind.SHORTENING,
    str(OptionKind.RE_ROPE): WorkKind.ROPING,
    str(OptionKind.REGROOVE_IN_PLACE): WorkKind.REGROOVING,
    str(OptionKind.REGROOVE_IN_SHOP): WorkKind.REGROOVING,
    str(OptionKind.RENEW_RIM): WorkKind.RIM_RENEWAL,
    str(OptionKind.REPLACE_SHEAVE): WorkKind.SHEAVE_REPLACEMENT,
    RETENSION: WorkKind.EQUALISING,
}
