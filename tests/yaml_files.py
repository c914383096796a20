"""YAML read by libyaml: the API's description takes seconds in Python alone."""

from functools import cache
from pathlib import Path
from typing import Any

import yaml

DESCRIPTION = Path(__file__).parents[1] / "docs" / "openapi.yaml"


def read(text: str) -> Any:
    """Return what a text of YAML says."""
    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    return yaml.load(text, Loader=loader)


@cache
def description() -> Any:
    """Return the API's description as it is committed; nobody may change it."""
    return read(DESCRIPTION.read_text(encoding="utf-8"))
