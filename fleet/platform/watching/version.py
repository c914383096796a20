"""The version of the whole, as `pyproject.toml` says it; a test compares."""

VERSION = "0.1.0"
