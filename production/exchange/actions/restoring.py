"""That an earlier book was restored from a backup, and what was said of it."""

from production.exchange import domain as history
from production.exchange.actions.naming import Act, dated
from production.restoring.actions import restored_book, say_what_happened


def replay_restored(event: history.Restored, act: Act) -> None:
    row = restored_book(
        **dated(event, act),
        taken_at=event.taken_at,
        restored_at=event.restored_at,
        last={one.name: one.last for one in event.series},
    )
    if answer := event.answered:
        say_what_happened(
            **dated(answer, act) | {"key": f"{act['key']}:answered"},
            restored=row,
            codes=answer.codes.splitlines(),
            past=True,
        )
