"""Attached files: kept once under their digest, and checked whenever they are read."""

import hashlib
from pathlib import Path

from production.papers.domain.papers import Paper
from production.papers.files.atomic import put_whole
from production.quantities.domain.refusal import Refused


def store(home: Path, paper: Paper) -> None:
    """Keep the bytes, whole or not at all; the same bytes are kept once."""
    if load(home, paper.sha256) is not None:
        return
    try:
        put_whole(path_of(home, paper.sha256), paper.raw)
    except OSError as fault:
        raise Refused(
            f"{paper.name} could not be kept: {fault.strerror}. Nothing was written; "
            "make room where the book keeps its files, and attach it again."
        ) from fault


def load(home: Path, sha256: str) -> bytes | None:
    """The bytes of a digest, or None where they are gone or not the same any more."""
    try:
        raw = path_of(home, sha256).read_bytes()
    except OSError:
        return None
    return raw if hashlib.sha256(raw).hexdigest() == sha256 else None


def path_of(home: Path, sha256: str) -> Path:
    return home / "attachments" / sha256[:2] / sha256[2:]
