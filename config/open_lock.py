"""Who has the book open: a lock in the home folder.

The system lets go of it when a process ends, however it ends. Commands and servers
hold it beside each other; what swaps the book holds it alone. Where the system has no
such lock (Windows) a file that is open cannot be moved, and that has to do.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from production.quantities.domain.refusal import Refused

try:
    import fcntl
except ImportError:
    fcntl = None  # type: ignore[assignment]  # a module that is not there

IN_USE = ".in-use"
BUSY = (
    "Something has the book open: a server, or another command. Stop it, then do this "
    "again. Nothing was changed."
)
UNDER_WAY = "A book is being put in place here. Wait until it is done."

# Held until this process ends.
_held: list[IO[bytes]] = []


def hold(home: Path) -> None:
    """Keep the book from being swapped while this process lives."""
    if fcntl is None or _held:
        return
    file = _opened(home / IN_USE)
    if file is None:
        return
    if not _taken(file, fcntl.LOCK_SH):
        file.close()
        raise Refused(UNDER_WAY)
    _held.append(file)


@contextmanager
def alone(home: Path, name: str = IN_USE, says: str = BUSY) -> Iterator[None]:
    """Refused while anybody else has the book open; nobody can open it inside."""
    if fcntl is None:
        yield
        return
    mine = _held[0] if _held and name == IN_USE else None
    file = mine or (home / name).open("ab")
    try:
        if not _taken(file, fcntl.LOCK_EX):
            raise Refused(says)
        yield
    finally:
        if mine:
            # One that asks for more and is refused has lost what it had.
            fcntl.flock(mine, fcntl.LOCK_SH)
        else:
            file.close()


def _opened(path: Path) -> IO[bytes] | None:
    """To be read where it cannot be written; None where it is not there to be held.

    Then nothing can be written in this home, and nothing be restored in it.
    """
    for mode in ("ab", "rb"):
        try:
            return path.open(mode)
        except OSError:
            continue
    if path.exists():
        raise Refused(
            f"{path} belongs to somebody else. Run every command as the one who serves "
            "the book."
        )
    return None


def _taken(file: IO[bytes], how: int) -> bool:
    try:
        fcntl.flock(file, how | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
