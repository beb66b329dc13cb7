"""Files that are kept beside the book: what they are, told by their own bytes."""

import hashlib
import re
import unicodedata
from dataclasses import dataclass, field

from production.quantities.domain.refusal import Refused

MOST_BYTES = 10 * 1024 * 1024
LONGEST_NAME = 120

PDF, JPEG, PNG, WEBP = "application/pdf", "image/jpeg", "image/png", "image/webp"
TEXT, CSV = "text/plain", "text/csv"
# By what the name ends in.
TYPES = {
    "pdf": PDF,
    "jpg": JPEG,
    "jpeg": JPEG,
    "png": PNG,
    "webp": WEBP,
    "txt": TEXT,
    "csv": CSV,
}
# How such a file begins: WebP (its size left open) by its registration at IANA as
# image/webp; ISO 32000-1 7.5.2 (PDF), ITU-T T.81 B.1.1.3 (JPEG) and the PNG
# specification 5.2 from memory.
_BEGINS = (
    (PDF, re.compile(rb"%PDF-")),
    (JPEG, re.compile(rb"\xff\xd8\xff")),
    (PNG, re.compile(rb"\x89PNG\r\n\x1a\n")),
    (WEBP, re.compile(rb"RIFF.{4}WEBP", re.DOTALL)),
)
_NO_TEXT = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f]")


@dataclass(frozen=True, slots=True)
class Paper:
    """A file that may be kept; ``type`` is what it is, not what a browser says."""

    name: str
    type: str
    sha256: str
    raw: bytes = field(repr=False)

    @property
    def size(self) -> int:
        return len(self.raw)


def read_paper(name: str, raw: bytes) -> Paper:
    """Know a file by its bytes; refused where its name says something else."""
    name = clean_name(name)
    refuse_size(name, len(raw))
    ending = name.rpartition(".")[2].lower()
    wanted = TYPES.get(ending) if "." in name else None
    if wanted is None:
        raise Refused(
            f"{name} is of no kind that is kept here. Save it as PDF, JPEG, PNG, "
            "WebP, plain text (.txt) or CSV, and attach that."
        )
    found = next((kind for kind, begins in _BEGINS if begins.match(raw)), None)
    if found is None and wanted in (TEXT, CSV) and _is_text(raw):
        found = wanted
    if found != wanted:
        raise Refused(f"{name} is not what its name says: {_says(wanted, found)}")
    return Paper(name, wanted, hashlib.sha256(raw).hexdigest(), raw)


def refuse_size(name: str, size: int) -> None:
    """Asked before a large file is read into memory, too."""
    if not size:
        raise Refused(f"{name} is empty. Choose the file that has something in it.")
    if size > MOST_BYTES:
        raise Refused(f"{name} is larger than 10 MB. Save it smaller, and attach that.")


def clean_name(name: str) -> str:
    """The last part of a path, without what cannot be seen, at most 120 characters."""
    # Control and format characters too: some turn the ending of a name around.
    seen = (one for one in name if one.isspace() or unicodedata.category(one)[0] != "C")
    name = unicodedata.normalize("NFC", "".join(seen))
    name = " ".join(re.split(r"[\\/]", name)[-1].split())
    stem, dot, ending = name.strip(" .").rpartition(".")
    if len(ending) >= LONGEST_NAME or not dot:
        return ending[:LONGEST_NAME] or "The file"
    return f"{stem[: LONGEST_NAME - len(ending) - 1].rstrip(' .')}.{ending}"


def _is_text(raw: bytes) -> bool:
    try:
        return not _NO_TEXT.search(raw.decode("utf-8"))
    except UnicodeDecodeError:
        return False


def _says(wanted: str, found: str | None) -> str:
    if found is not None:
        kind = found.rpartition("/")[2]
        return f"it is a {kind.upper()}. Give it the ending .{kind}."
    if wanted in (TEXT, CSV):
        return "it is no plain text in UTF-8. Save it as UTF-8, and attach that."
    kind = wanted.rpartition("/")[2].upper()
    return f"it is no {kind}. Save it as one, and attach that."
