"""A storage that knows no paths, as an object store knows none."""

import posixpath
from typing import NoReturn

from django.core.files.storage import InMemoryStorage


class WithoutPaths(InMemoryStorage):
    """Keeps files in memory; whoever asks for a path is refused."""

    def path(self, name: str) -> NoReturn:
        raise NotImplementedError(f"{name} has no path")

    def _relative_path(self, name: str) -> str:
        # Its own way there leads over a path.
        return posixpath.normpath(name.lstrip("/"))
