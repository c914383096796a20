"""Files that are there whole or not at all."""

import os
import tempfile
from pathlib import Path

from django.core.files.base import File
from django.core.files.storage import FileSystemStorage


class WholeFileStorage(FileSystemStorage):
    """Writes beside the final name, to disk, and renames: no half file is ever seen."""

    def _save(self, name: str, content: "File[bytes]") -> str:
        target = Path(self.path(name))
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=".part-")
        try:
            with os.fdopen(handle, "wb") as file:
                for chunk in content.chunks():
                    file.write(chunk)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(temporary, 0o640)
            os.replace(temporary, target)
            _sync_folder(target.parent)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
        return name.replace("\\", "/")


def _sync_folder(folder: Path) -> None:
    """Write the new name itself to disk: a row that names the file outlives a crash."""
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
