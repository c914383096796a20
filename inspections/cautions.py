"""The cautions that go with every verdict, wherever it is shown."""

SHORT = (
    "A calculation from readings of one day and from the register; it is no "
    "inspection and no permission to run. Local code, the authority having "
    "jurisdiction and the licensed inspector decide.",
    "Work on ropes and sheave only by competent persons: isolate and lock out, prove "
    "dead, secure car and counterweight. Never touch, gauge or wipe moving ropes.",
)
