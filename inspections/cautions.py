"""The cautions that go with every verdict, wherever it is shown."""

SHORT = (
    "A calculation from readings as taken and from the register. It is not an "
    "inspection and does not authorise operation; a date is no permission to run "
    "until then. Local code, the authority having jurisdiction and the licensed "
    "inspector decide.",
    "Work on ropes and sheave only by competent persons: isolate and lock out, prove "
    "dead, land and secure the counterweight, suspend the car independently. Never "
    "touch, gauge or wipe moving ropes.",
    "A check that was not made says nothing of the machine.",
)


def as_text() -> str:
    """Return them as a file of their own, to stand beside files of rows."""
    return "".join(f"{caution}\n" for caution in ("Cautions", "", *SHORT))
