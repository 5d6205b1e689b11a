"""Writing a file whole or not at all."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from explorer.brief.errors import CannotWrite


def write_whole(path: Path, text: str) -> None:
    """Writes `text` beside `path` and puts it in its place: a failed write leaves the old file whole.

    A link at `path` is replaced, never followed.  Raises `CannotWrite`.
    """
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        try:
            descriptor = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644)
            with os.fdopen(descriptor, "wb") as stream:
                stream.write(text.encode("utf-8"))
                stream.flush()
                os.fsync(stream.fileno())
            os.replace(beside, path)  # noqa: PTH105 - the same on every system
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise CannotWrite(f"{path}: cannot be written: {error.strerror}.") from error
