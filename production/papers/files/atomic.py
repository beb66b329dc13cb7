"""Files that are there whole or not at all, also after a power cut."""

import contextlib
import os
import tempfile
from pathlib import Path


def put_whole(path: Path, raw: bytes) -> None:
    """Write the bytes under a name of their own, then give them theirs.

    Readable by their owner only. OSError where that cannot be done.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    half = None
    try:
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as half:
            half.write(raw)
            half.flush()
            os.fsync(half.fileno())
        move(Path(half.name), path)
    except OSError:
        if half is not None:
            Path(half.name).unlink(missing_ok=True)
        raise


def move(half: Path, path: Path) -> None:
    """Give a file that is settled its name, in place of what had that name."""
    half.replace(path)
    settle_names(path.parent)


def settle(path: Path) -> None:
    """See a file onto the disk; OSError where it does not come to stand there."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def settle_names(folder: Path) -> None:
    """See the names in a folder onto the disk; not every system can."""
    for one in (folder, folder.parent):
        with contextlib.suppress(OSError):
            handle = os.open(one, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
