"""How much memory one upload takes at its most."""

import gc
from pathlib import Path

from tests.benchmarks.intake.ratios import Bench

_PROCESS = Path("/proc/self")
_KB_A_MB = 1024
# Resets the highest mark that the kernel keeps (proc(5), clear_refs).
_FORGET_PEAK = "5"


def peak_memory_mb(bench: Bench) -> float | None:
    """Return by how much one upload raises this process's memory [MB]; Linux only.

    Call it before other uploads: memory that they gave back to Python would not
    show again.
    """
    if not (_PROCESS / "clear_refs").exists():
        return None
    content = bench.body("m1")
    gc.collect()
    (_PROCESS / "clear_refs").write_text(_FORGET_PEAK)
    before = _status("VmRSS")
    bench.sent(content, "stored")
    return round((_status("VmHWM") - before) / _KB_A_MB, 1)


def _status(name: str) -> int:
    """Return one of the kernel's figures on this process [kB]."""
    for line in (_PROCESS / "status").read_text().splitlines():
        if line.startswith(f"{name}:"):
            return int(line.split()[1])
    raise RuntimeError(f"the kernel says no {name}")
