"""When the book was last backed up, and when to ask for it again."""

from dataclasses import dataclass
from datetime import datetime, timedelta

# Common practice, no source: a week of work can be written again from the papers and
# from memory, more cannot; on a busy day some fifty deeds are as much.
MOST_DAYS = 7
MOST_DEEDS = 50


@dataclass(frozen=True, slots=True)
class Saved:
    """One backup: ``through`` is the moment of the last deed in it, None for none."""

    taken_at: datetime
    through: datetime | None
    where: str


@dataclass(frozen=True, slots=True)
class Unsaved:
    """Deeds that stand in no backup: how many, and the moment of the first of them."""

    deeds: int
    since: datetime | None


def entries(deeds: int) -> str:
    """How many entries a history has, in words."""
    return "1 entry" if deeds == 1 else f"{deeds:,} entries"


def asks(unsaved: Unsaved, now: datetime) -> bool:
    """Whether so much would be lost that a backup is asked for.

    A book in which nothing was done since is never asked about, however old its
    backup is.
    """
    if not unsaved.deeds or unsaved.since is None:
        return False
    old = now - unsaved.since >= timedelta(days=MOST_DAYS)
    return old or unsaved.deeds >= MOST_DEEDS
