"""Is the disk full? One reader for files, SQLite and PostgreSQL."""

import errno

from production.quantities.domain.refusal import Refused

# Class 53, "insufficient resources", disk_full (PostgreSQL manual, appendix A).
_PG_DISK_FULL = "53100"
# What SQLITE_FULL says (sqlite.org/rescode.html).
_SQLITE_FULL = "database or disk is full"
_NO_SPACE = {errno.ENOSPC, errno.EDQUOT}

FULL = (
    "The disk is full: nothing was written. Make room on the disk where the book is "
    "kept, then do it again."
)


class FullElsewhere(Refused):
    """A full disk that is not the book's own: the text names which."""


def no_room(fault: BaseException | None) -> str:
    """The sentence to say where a full disk is behind a fault; "" for any other."""
    if isinstance(fault, FullElsewhere):
        return str(fault)
    seen: set[int] = set()
    while fault is not None and id(fault) not in seen:
        seen.add(id(fault))
        if isinstance(fault, OSError) and fault.errno in _NO_SPACE:
            return FULL
        if getattr(fault, "sqlstate", None) == _PG_DISK_FULL:
            return FULL
        if _SQLITE_FULL in str(fault):
            return FULL
        fault = fault.__cause__ or fault.__context__
    return ""
