"""That an earlier book was restored from a backup, and what was said of it."""

from datetime import datetime
from typing import Any

from production.actions.history.words import dated
from production.actions.restored import restored_book, say_what_happened
from production.domain.history import Event


def replay_restored(event: Event, act: dict[str, Any]) -> None:
    series = event.parts("series", [])
    row = restored_book(
        **dated(event, act),
        taken_at=_moment(event, "taken_at"),
        restored_at=_moment(event, "restored_at"),
        last={one.text("name"): one.whole("last") for one in series},
    )
    for one in series:
        one.done()
    if answer := event.part("answered"):
        say_what_happened(
            **dated(answer, act) | {"key": f"{act['key']}:answered"},
            restored=row,
            codes=answer.text("codes", "").splitlines(),
            past=True,
        )
        answer.done()


def _moment(event: Event, key: str) -> datetime:
    try:
        moment = datetime.fromisoformat(event.text(key))
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        raise event.fault(f"{key!r} is a moment like 2026-03-02T14:10:00+00:00.")
    return moment
