"""The one file of a backup: a zip of parts, each with its digest, sealed at its end.

``about.json`` stands last among the parts and tells of the others. The comment of the
archive is the digest of every byte before it: whatever was cut off or changed, in a
part or in the frame around it, is seen.
"""

import hashlib
import json
import re
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from production.quantities.domain.refusal import Refused

WHAT = "kettlebook-backup"
FORMAT = 1
ABOUT = "about.json"
DATABASE = "database.sqlite3"
TABLE = re.compile(r"tables/([a-z_][a-z0-9_]*)\.copy")
PAPER = re.compile(r"attachments/([0-9a-f]{2})/([0-9a-f]{62})")
SEAL = 64
CHUNK = 1 << 20
_LONGEST_ABOUT = 64 * 2**20


@dataclass
class About:
    """What a backup says of itself.

    ``schema`` are the migrations that its database has seen, by app, each app's last
    one at the end; ``through`` is the moment of the last deed in it; ``demo`` is
    whether the database was made by the demo.
    """

    taken_at: datetime
    kettlebook: str
    engine: str
    schema: dict[str, list[str]] = field(default_factory=dict)
    deeds: int = 0
    through: datetime | None = None
    demo: bool = False
    parts: dict[str, dict[str, Any]] = field(default_factory=dict)
    columns: dict[str, list[str]] = field(default_factory=dict)

    @property
    def tables(self) -> list[str]:
        return list(self.columns)

    @property
    def papers(self) -> list[str]:
        return [name for name in self.parts if PAPER.fullmatch(name)]

    def written(self) -> bytes:
        facts = {"what": WHAT, "format": FORMAT, **asdict(self)}
        facts["taken_at"] = self.taken_at.isoformat()
        facts["through"] = self.through.isoformat() if self.through else None
        return json.dumps(facts, indent=1).encode()

    @classmethod
    def read(cls, raw: bytes) -> "About":
        facts = json.loads(raw)
        if facts.pop("what") != WHAT:
            raise ValueError
        if facts.pop("format") > FORMAT:
            raise Refused(
                f"This backup was made by Kettlebook {facts.get('kettlebook')}, which "
                "is newer. Install that one, then restore again."
            )
        facts["taken_at"] = datetime.fromisoformat(facts["taken_at"])
        through = facts["through"]
        facts["through"] = datetime.fromisoformat(through) if through else None
        return cls(**facts)


class Packing:
    """A backup being written: parts go in one by one."""

    def __init__(self, archive: zipfile.ZipFile, about: About) -> None:
        self.archive, self.about = archive, about

    def put(self, name: str, chunks: Iterator[bytes], packed: bool = True) -> None:
        """One part; ``packed`` makes it smaller, where that is worth the while."""
        entry = zipfile.ZipInfo(name)
        entry.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        mark, size = hashlib.sha256(), 0
        with self.archive.open(entry, "w", force_zip64=True) as part:
            for chunk in chunks:
                mark.update(chunk)
                size += len(chunk)
                part.write(chunk)
        self.about.parts[name] = {"sha256": mark.hexdigest(), "bytes": size}


def pack(path: Path, about: About, fill: Callable[[Packing], None]) -> None:
    """Write a backup to ``path`` and seal it; it is not proved yet."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        fill(Packing(archive, about))
        archive.writestr(zipfile.ZipInfo(ABOUT), about.written())
        archive.comment = b"0" * SEAL
    mark = _digest_before_the_seal(path)
    with path.open("rb+") as file:
        file.seek(-SEAL, 2)
        file.write(mark)


@dataclass
class Box:
    """A backup that was proved: its parts can be taken out."""

    path: Path
    archive: zipfile.ZipFile
    about: About

    @contextmanager
    def part(self, name: str) -> Iterator[IO[bytes]]:
        with self.archive.open(name) as part:
            yield part

    def take_out(self, name: str, to: Path) -> None:
        with self.part(name) as part, to.open("wb") as file:
            for chunk in chunks_of(part):
                file.write(chunk)


@contextmanager
def opened(path: Path) -> Iterator[Box]:
    """Prove a backup, every byte of it, and open it; Refused where it is not whole."""
    try:
        with path.open("rb") as file:
            begins = file.read(4)
        if begins != b"PK\x03\x04":
            raise Refused(f"{path} is no backup of Kettlebook.")
        if path.stat().st_size < SEAL:
            raise Refused(_damaged(path))
        with path.open("rb") as file:
            file.seek(-SEAL, 2)
            sealed = file.read()
        if sealed != _digest_before_the_seal(path):
            raise Refused(_damaged(path))
    except OSError as fault:
        raise Refused(f"{path} cannot be read: {fault.strerror}.") from fault
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError) as fault:
        raise Refused(_damaged(path)) from fault
    with archive:
        yield Box(path, archive, _proved(path, archive))


def _proved(path: Path, archive: zipfile.ZipFile) -> About:
    try:
        if archive.getinfo(ABOUT).file_size > _LONGEST_ABOUT:
            raise ValueError
        about = About.read(archive.read(ABOUT))
        names = [name for name in archive.namelist() if name != ABOUT]
        if sorted(names) != sorted(about.parts):
            raise ValueError
        for name in names:
            known = name == DATABASE or TABLE.fullmatch(name) or PAPER.fullmatch(name)
            with archive.open(name) as part:
                same = _digest(part) == about.parts[name]["sha256"]
            if not known or not same:
                raise ValueError
    except (KeyError, TypeError, ValueError, AttributeError, zipfile.BadZipFile) as bad:
        raise Refused(_damaged(path)) from bad
    return about


def _damaged(path: Path) -> str:
    return (
        f"{path} is damaged or cut short: it is not what was written as a backup. "
        "Nothing was changed. Use another backup."
    )


def chunks_of(file: IO[bytes], most: int | None = None) -> Iterator[bytes]:
    """The bytes of an open file in pieces, ``most`` of them at most."""
    left = most
    while chunk := file.read(CHUNK if left is None else min(CHUNK, left)):
        yield chunk
        if left is not None:
            left -= len(chunk)


def _digest(file: IO[bytes], most: int | None = None) -> str:
    mark = hashlib.sha256()
    for chunk in chunks_of(file, most):
        mark.update(chunk)
    return mark.hexdigest()


def _digest_before_the_seal(path: Path) -> bytes:
    with path.open("rb") as file:
        return _digest(file, max(path.stat().st_size - SEAL, 0)).encode()
