"""How often workers look for rows that refer to one another.

A machine that is judged holds thousands of rows and records at a time; nearly all of
them go as soon as nothing names them. Python's own habit looks through all of them
every few hundred, which took a tenth of the time of a night. Web processes keep that
habit: an answer and its request refer to each other, and hold what was sent.
"""

import gc

# Measured, no source: some looks for each hundred machines, and rarely through all.
SELDOM = (50_000, 10, 10)


def collect_seldom(**_: object) -> None:
    """Look seldom in this process, and never through what is loaded by now."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*SELDOM)
