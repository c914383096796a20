"""Print what each file takes from its publication, and how much of it is computed."""

import sys

from tests.published.printed import table

sys.stdout.write(f"{table()}\n")
