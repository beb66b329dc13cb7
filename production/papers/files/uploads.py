"""A file between its reading and its writing: kept for a day under its digest."""

import time
from pathlib import Path

from production.papers.files.atomic import put_whole
from production.papers.files.sheets_in import digest

DAY = 24 * 60 * 60


def keep(folder: Path, raw: bytes) -> str:
    """Lay the bytes by and sweep out what is older than a day; give their digest."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.iterdir():
        if time.time() - old.stat().st_mtime > DAY:
            old.unlink(missing_ok=True)
    name = digest(raw)
    put_whole(folder / name, raw)
    return name


def kept(folder: Path, name: str) -> bytes | None:
    """The bytes of a digest, or None once they were swept out or are not the same."""
    try:
        raw = (folder / name).read_bytes()
    except OSError:
        return None
    return raw if digest(raw) == name else None
