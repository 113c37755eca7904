"""Write a finished document so that a half-written one never stands in its place."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from farpress.errors import PaperError

__all__ = ["write_file"]


def write_file(path: Path, content: bytes) -> None:
    """Replace a file as a whole, or leave it as it was.

    Raises:
        PaperError: the folder is missing, full or may not be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as half:
            half.write(content)
            half.flush()
            os.fsync(half.fileno())
        Path(half.name).chmod(0o644)
        Path(half.name).replace(path)
    except OSError as error:
        reason = error.strerror or str(error)
        raise PaperError(
            f"{path} could not be written: {reason}. Choose another folder, or make room."
        ) from error
