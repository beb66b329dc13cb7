"""Attached files: kept once under their digest, and checked whenever they are read."""

import contextlib
import hashlib
import os
import tempfile
from pathlib import Path

from production.domain.papers import Paper
from production.domain.refusal import Refused


def lay_by(home: Path, paper: Paper) -> None:
    """Keep the bytes, whole or not at all; the same bytes are kept once."""
    if bring(home, paper.sha256) is not None:
        return
    path = _path(home, paper.sha256)
    half = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as half:
            half.write(paper.raw)
            half.flush()
            os.fsync(half.fileno())
        os.replace(half.name, path)  # noqa: PTH105
        _settle(path.parent)
    except OSError as fault:
        if half is not None:
            Path(half.name).unlink(missing_ok=True)
        raise Refused(
            f"{paper.name} could not be kept: {fault.strerror}. Nothing was written; "
            "make room where the book keeps its files, and attach it again."
        ) from fault


def bring(home: Path, sha256: str) -> bytes | None:
    """The bytes of a digest, or None where they are gone or not the same any more."""
    try:
        raw = _path(home, sha256).read_bytes()
    except OSError:
        return None
    return raw if hashlib.sha256(raw).hexdigest() == sha256 else None


def _path(home: Path, sha256: str) -> Path:
    return home / "attachments" / sha256[:2] / sha256[2:]


def _settle(folder: Path) -> None:
    """So that the name is there after a power cut, too; not every system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
