#!/usr/bin/env python3
"""Django's command line, for this project."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.project.settings")
    if sys.argv[1:2] == ["demo"]:
        from fleet.demo import defaults

        defaults.prepare()
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
