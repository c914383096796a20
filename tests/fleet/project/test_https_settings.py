"""What is said of HTTPS, and what of it can be said apart (ASVS 5.0, 3.4.1)."""

import os
import subprocess
import sys

import pytest

from tests.fleet.installation import ROOT

_SAY = """
from fleet.project import settings as s
print(s.SECURE_HSTS_SECONDS, s.SECURE_HSTS_INCLUDE_SUBDOMAINS, s.SECURE_SSL_REDIRECT)
"""


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "2592000 True True"),
        ({"HSTS_SUBDOMAINS": "no"}, "2592000 False True"),
        ({"HSTS_SECONDS": "31536000"}, "31536000 True True"),
        ({"HTTPS": "no"}, "0 False False"),
    ],
)
def test_names_below_this_one_are_bound_to_https_only_where_that_is_meant(given, said):
    names = ("HTTPS", "HSTS_SUBDOMAINS", "HSTS_SECONDS")
    kept = {n: v for n, v in os.environ.items() if n not in names}

    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", _SAY],
        cwd=ROOT,
        env=kept | given,
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.strip() == said
