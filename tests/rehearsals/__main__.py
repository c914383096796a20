"""`python -m tests.rehearsals NAME [OPTIONS]`: one bad day, and what it cost."""

import importlib
import json
import signal
import sys
from pathlib import Path

NAMES = sorted(
    path.stem
    for path in Path(__file__).parent.glob("*.py")
    if "\ndef rehearse(" in path.read_text(encoding="utf-8")
)
# What must be nothing in the end.
NONE = ("lost", "doubled", "from_after_the_minute", "different")


def main(name: str, *options: str) -> int:
    """Play it, write what came of it, and fail unless nothing was lost or doubled."""
    if name not in NAMES:
        print(f"There is: {', '.join(NAMES)}.")
        return 2
    # Whoever ends it before its time leaves no servers running.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    found = importlib.import_module(f"tests.rehearsals.{name}").rehearse(options)
    print(json.dumps({"rehearsal": name, **found}))
    if "next" in found:
        # A part; what it cost is told by the last one.
        return 0
    is_well = found["acknowledged"] and not any(found.get(word) for word in NONE)
    return 0 if is_well and not any(v is False for v in found.values()) else 1


if __name__ == "__main__":
    sys.exit(main(*(sys.argv[1:] or [""])))
