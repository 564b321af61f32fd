"""A file is written whole or not at all: beside its place first, readable by its owner only, then renamed.
"""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import mkstemp

from gwlog.errors import BadInput, GwlogError

MODE = 0o600


def put_file(out: Path, content: bytes) -> None:
    """Write `content` to `out`, replacing a file that is there. Raises BadInput or GwlogError in plain words."""
    out = out.expanduser()
    if out.is_dir():
        raise BadInput(f"{out} is a folder; name a file in it.")
    if not out.parent.is_dir():
        raise BadInput(f"The folder {out.parent} does not exist; nothing was written.")
    held: str | None = None
    try:
        handle, held = mkstemp(prefix=f".{out.name}.", dir=out.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(held).chmod(MODE)
        Path(held).replace(out)
        held = None
    except OSError as error:
        raise GwlogError(f"{out} cannot be written: {error.strerror or error}.",
                         hint="Check the folder's permissions and free space; nothing was changed.") from None
    finally:
        if held is not None:
            Path(held).unlink(missing_ok=True)
