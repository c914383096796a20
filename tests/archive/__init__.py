"""Each rule of PDF/A-2a and PDF/UA-1 that our files are checked by, and its breaches.

python -m tests.archive FILE...
"""

from reports.pdf.rules import RULES, faults

__all__ = ["RULES", "faults"]
