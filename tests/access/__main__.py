"""`python -m tests.access`: write docs/access.md from the matrix."""

import os

import django


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.project.settings")
    os.environ.setdefault("SECRET_KEY", "describes")
    django.setup()
    # Its models need the line above.
    from tests.access import page

    page.PAGE.write_text(page.written(), encoding="utf-8")


if __name__ == "__main__":
    main()
