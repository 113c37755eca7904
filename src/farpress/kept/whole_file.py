"""A file put in its place in one step: what was there before stays, or the whole new one is there."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from farpress.errors import InputError

__all__ = ["put_whole"]


def put_whole(target: Path, data: bytes) -> None:
    """Put a file in its place in one step, on disk when this returns; a new one for its owner's eyes only.

    Args:
        target: where it is to be; its folder is made if it is not there.
        data: the whole of it.

    Raises:
        InputError: the disk is full, or nothing may be written there; what was there before is as it was.
    """
    name = ""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".new", dir=target.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if target.exists():
            Path(name).chmod(target.stat().st_mode & 0o777)
        Path(name).replace(target)
    except OSError as error:
        raise InputError(
            f"{target.name} could not be written: {error.strerror or error}. What was there before is as it"
            " was; try again when there is room."
        ) from error
    finally:
        if name:
            Path(name).unlink(missing_ok=True)
