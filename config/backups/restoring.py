"""``restore``: a backup takes the place of the book; what stood there is kept."""

from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from config.backups.box import About, opened
from config.backups.papers import bring_papers
from config.backups.taking import ENGINES
from config.health import unknown
from config.open_lock import alone
from production.quantities.domain.refusal import Refused
from production.start.domain import Saved, entries
from production.start.files import note_saved


def restore(named: str) -> str:
    """Put a backup back, all of it or nothing, and tell what was done.

    Refused while anything has the book open, where the file is not whole, and where
    it comes from a newer Kettlebook.
    """
    path, home = Path(named).expanduser().resolve(), Path(settings.HOME)
    with alone(home), opened(path) as box:
        refuse_other(box.about)
        engine = ENGINES[box.about.engine]
        refuse_misplaced(box.about, engine.of_demo_as_it_stands(), path)
        engine.refuse_where_it_cannot_go()
        # First, and harmless alone: the rows that speak of them come after.
        papers = bring_papers(box, home)
        aside = engine.swap_in(box)
        about = box.about
        note_saved(home, Saved(about.taken_at, about.through, str(path)))
    return "\n".join(_told(about, papers, aside))


def refuse_other(about: About) -> None:
    """A backup of another kind of database, or of tables that are not known here."""
    if about.engine != connection.vendor:
        raise Refused(
            f"This backup is of {NAMES.get(about.engine, about.engine)}, and "
            f"DATABASE_URL names {NAMES.get(connection.vendor, connection.vendor)}. "
            "Set DATABASE_URL to the same kind. To change from one to the other use "
            "export_history and import_history."
        )
    if newer := unknown(about.schema):
        raise Refused(
            f"This backup was made by Kettlebook {about.kettlebook} with tables that "
            f"this one, {settings.VERSION}, does not know ({', '.join(newer)}). "
            f"Install Kettlebook {about.kettlebook} or newer, then restore again."
        )


def refuse_misplaced(about: About, stands: bool | None, path: Path) -> None:
    """The demo's goes into the demo, a workshop's into its own home, and nowhere else.

    ``stands`` is whether the demo made what is there now, None where nothing tells.
    """
    if about.demo and not settings.DEMO:
        raise Refused(
            "This is a backup of the demo, and nothing was changed. It goes into the "
            f"demo: python manage.py demo restore {path}"
        )
    if settings.DEMO and not about.demo:
        raise Refused(
            "This is a backup of a workshop's book, which has no place in the demo; "
            f"nothing was changed. Put it back by python manage.py restore {path}"
        )
    if stands is not None and stands != about.demo:
        here, other = ("The demo", "a workshop's book")
        if not stands:
            here, other = ("A workshop's book", "the demo")
        named = "KETTLEBOOK_DEMO_HOME" if settings.DEMO else "KETTLEBOOK_HOME"
        raise Refused(
            f"{here} stands in {settings.HOME}, and this is a backup of {other}; "
            f"nothing was changed. Name another folder in {named}."
        )


LESS = "less than an hour ago"
NAMES = {"sqlite": "SQLite", "postgresql": "PostgreSQL"}


def _ago(passed: timedelta) -> str:
    """``2 days and 1 hour ago``."""
    days, hours = passed.days, passed.seconds // 3600
    parts = [
        f"{number} {word}{'s' * (number != 1)}"
        for number, word in ((days, "day"), (hours, "hour"))
        if number > 0
    ]
    return f"{' and '.join(parts)} ago" if days >= 0 and parts else LESS


def _told(about: About, papers: int, aside: list[str]) -> list[str]:
    lines = [
        f"The book stands as of {about.taken_at:%Y-%m-%d %H:%M} UTC, "
        f"{_ago(timezone.now() - about.taken_at)}. Its history has "
        f"{entries(about.deeds)}; attached files that were lacking: {papers:,}."
    ]
    if aside:
        lines.append(f"What stood there was set aside: {', '.join(aside)}.")
    demo = "demo " if settings.DEMO else ""
    lines.append(
        f"Now run python manage.py {demo}audit, and write again what is lacking."
    )
    return lines
