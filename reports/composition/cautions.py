"""The cautions and the deferral that stand on every document."""

from django.utils.translation import gettext, gettext_noop

from reports import content

_DEFERRAL = gettext_noop(
    "Local code, the authority having jurisdiction and licensed inspectors decide "
    "whether a lift may run; nothing in this report permits it."
)
_ALWAYS = gettext_noop("Stands on every report.")
_DANGER = gettext_noop("Work on a traction drive can hurt and kill.")

_CAUTIONS = (
    content.Caution(
        code="no-inspection",
        version="1",
        text=gettext_noop(
            "This report says what was read and what was worked out from it. It is "
            "not an inspection and does not authorise operation; readings are those of "
            "the days they were taken."
        ),
        reason=_ALWAYS,
        on_first_page=True,
    ),
    content.Caution(
        code="not-made-is-not-passed",
        version="1",
        text=gettext_noop(
            "A check that was not made says nothing of the machine; each is listed "
            "with its reason."
        ),
        reason=_ALWAYS,
        on_first_page=True,
    ),
    content.Caution(
        code="isolate",
        version="1",
        text=gettext_noop(
            "Work on ropes, sheave and brake only by competent persons under the "
            "site's own rules and the maker's instructions: isolate, lock out and "
            "prove dead before touching; land and secure the counterweight and "
            "suspend the car independently before ropes are lifted or grooves cut."
        ),
        reason=_DANGER,
    ),
    content.Caution(
        code="moving-ropes",
        version="1",
        text=gettext_noop(
            "Never touch, gauge or wipe moving ropes; no hand between rope and "
            "sheave. Do not rely on brake or traction alone: a worn groove may not "
            "hold."
        ),
        reason=_DANGER,
    ),
    content.Caution(
        code="brake-on-sheave",
        version="1",
        text=gettext_noop(
            "Brakes that act on the drive sheave hold the car only as far as the "
            "grooves hold the ropes."
        ),
        reason=gettext_noop("Low traction also takes away this protection."),
    ),
    content.Caution(
        code="return-to-service",
        version="1",
        text=gettext_noop(
            "A machine taken out of service is tagged and comes back only after "
            "repair, re-inspection and acceptance by those the local code names."
        ),
        reason=_ALWAYS,
    ),
)

_STOP = gettext_noop(
    "Take this machine out of service until a competent person has decided. Low "
    "traction also takes away protection by brakes that act on the sheave."
)


def deferral() -> str:
    """Return the sentence at the foot of every page."""
    return gettext(_DEFERRAL)


def cautions() -> tuple[content.Caution, ...]:
    """Return every caution in the active language."""
    return tuple(
        content.Caution(
            code=caution.code,
            version=caution.version,
            text=gettext(caution.text),
            reason=gettext(caution.reason),
            on_first_page=caution.on_first_page,
        )
        for caution in _CAUTIONS
    )


def stop() -> str:
    """Return what stands beside a finding that takes a machine out of service."""
    return gettext(_STOP)
