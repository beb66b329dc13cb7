"""The attachments of a backup. Each lies under its digest, so that the papers of two
books stand beside each other: what is there stays, what is lacking is added.
"""

from pathlib import Path

from config.backups.box import PAPER, Box, Packing, chunks_of
from config.swapping import set_aside_as
from production.papers.files.atomic import move, settle
from production.papers.files.attachments import load, path_of


def put_papers(packing: Packing, home: Path) -> list[str]:
    """Every attached file; names those that are not what was attached any more."""
    changed = []
    for path in sorted((home / "attachments").glob("*/*")):
        name = f"attachments/{path.parent.name}/{path.name}"
        if not PAPER.fullmatch(name):
            continue
        with path.open("rb") as file:
            packing.put(name, chunks_of(file), packed=False)
        if packing.about.parts[name]["sha256"] != _mark(name):
            changed.append(_mark(name))
    return changed


def bring_papers(box: Box, home: Path) -> int:
    """Add what is lacking here; a file that is damaged here is set aside for it."""
    added = 0
    for name in box.about.papers:
        mark = _mark(name)
        if box.about.parts[name]["sha256"] != mark or load(home, mark) is not None:
            continue
        path = path_of(home, mark)
        path.parent.mkdir(parents=True, exist_ok=True)
        half = path.with_name(f"{path.name}.half")
        box.take_out(name, half)
        settle(half)
        if path.exists():
            path.replace(set_aside_as(path))
        move(half, path)
        added += 1
    return added


def _mark(name: str) -> str:
    return name.removeprefix("attachments/").replace("/", "")
