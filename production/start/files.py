"""The fact of the last backup: a file, so that no restore turns it back."""

import json
from datetime import datetime
from pathlib import Path

from production.papers.files.atomic import put_whole
from production.start.domain import Saved

NAME = "last-backup.json"


def last_saved(home: Path) -> Saved | None:
    """The newest backup that was made from this home, None where none is known."""
    try:
        told = json.loads((home / NAME).read_text(encoding="utf-8"))
        through = told["through"]
        return Saved(
            taken_at=datetime.fromisoformat(told["taken_at"]),
            through=datetime.fromisoformat(through) if through else None,
            where=str(told["where"]),
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None


def note_saved(home: Path, saved: Saved) -> None:
    """Keep it, unless a newer one is known."""
    known = last_saved(home)
    if known and known.taken_at >= saved.taken_at:
        return
    told = {
        "taken_at": saved.taken_at.isoformat(),
        "through": saved.through.isoformat() if saved.through else None,
        "where": saved.where,
    }
    put_whole(home / NAME, json.dumps(told, indent=2).encode())
