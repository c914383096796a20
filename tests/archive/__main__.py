"""What do files break of PDF/A-2a, PDF/UA-1? ``python -m tests.archive FILE...``"""

import sys
from pathlib import Path

from tests import archive


def main() -> int:
    broken = 0
    for name in sys.argv[1:]:
        told = archive.faults(Path(name).read_bytes())
        broken += bool(told)
        for fault in told:
            sys.stdout.write(f"{name}: {fault.number}: {fault.found}\n")
    rules = len(archive.RULES)
    sys.stdout.write(f"{rules} rules, {broken} files that break one; not certified\n")
    return min(broken, 1)


if __name__ == "__main__":
    raise SystemExit(main())
