"""Codes that the tool issues: short, hard to misread, and a slip of the pen shows."""

import re
from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase, digits

ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"  # no 0, 1, I, O
STANDARD = digits + ascii_uppercase
NARROWEST = 4

# Odd, hence a permutation of 0 .. 32**width - 1; near the golden section of both
# 32**4 and 32**5, hence neighbours begin with letters far apart.
SPREAD = 0x139E377

LOT = "lot"  # the series of lots and of the marks of batches
PAPERS = {"purchase": "P", "sale": "S", "return": "RT"}

_OURS = re.compile(rf"[{ALPHABET}]{{{NARROWEST},}}-[{ALPHABET}]")
_LIKE_OURS = re.compile(r"[0-9A-Z]{4,6}-[0-9A-Z]")
_PAPER = re.compile(r"(P|S|RT)-([0-9]{1,12})")
_MARK = re.compile(r"[Bb]-\s*")


def check_character(text: str) -> str:
    """ISO/IEC 7064 MOD 37,36 over 0-9 and A-Z; ValueError for anything else."""
    rest = 36
    for character in text:
        rest = ((rest + STANDARD.index(character)) % 36 or 36) * 2 % 37
    return STANDARD[(37 - rest) % 36]


def issue(serial: int) -> str | None:
    """Code of a serial number from 0, such as ``3K7Q-4``; None where it is skipped.

    Skipped are the check characters 0, 1, I and O, and the few codes (0.3 %) in which
    the standard would not notice two neighbours swapped.
    """
    if serial < 0:
        raise ValueError("serial numbers begin at 0")
    width = NARROWEST
    while serial >= 32**width:
        serial -= 32**width
        width += 1
    number = serial * SPREAD % 32**width
    body = "".join(
        ALPHABET[number >> 5 * place & 31] for place in reversed(range(width))
    )
    check = check_character(body)
    if check not in ALPHABET or _swaps_unseen(body + check):
        return None
    return f"{body}-{check}"


def next_code(serial: int) -> tuple[str, int]:
    """First code at or after a serial number, and the number that it took."""
    while (code := issue(serial)) is None:
        serial += 1
    return code, serial


def serial_of(code: str) -> int | None:
    """The serial number behind a code as issued; None for one that never was."""
    if not is_valid(code):
        return None
    body = code.partition("-")[0]
    width = len(body)
    number = 0
    for character in body:
        number = number << 5 | ALPHABET.index(character)
    back = pow(SPREAD, -1, 32**width)
    serial = number * back % 32**width + sum(32**w for w in range(NARROWEST, width))
    return serial if issue(serial) == code else None


@dataclass(frozen=True, slots=True)
class Issued:
    """A code or number as it was read: of which series, and its place there.

    ``series`` is "" for a mark that the house never issued by itself.
    """

    text: str
    series: str = ""
    serial: int = 0


def read_issued(text: str) -> Issued:
    """What somebody read off a bottle, a label, a batch sheet or a paper.

    A lot's code with or without its check character, in any case; the mark of a batch;
    the number of a purchase, a sale or a return. Raises ValueError where it has the
    shape of ours and is mistyped.
    """
    bare = " ".join(text.split())
    if paper := _PAPER.fullmatch(bare.upper()):
        series = next(name for name, mark in PAPERS.items() if mark == paper[1])
        return Issued(bare.upper(), series, int(paper[2]))
    mark = _MARK.match(bare)
    rest = bare[mark.end() :] if mark else bare
    if mistyped(rest):
        raise ValueError(f"{bare} is mistyped")
    for code in (normalise(rest), completed(rest)):
        if (serial := serial_of(code)) is not None:
            return Issued(f"B-{code}" if mark else code, LOT, serial)
    return Issued(bare)


def is_valid(code: str) -> bool:
    """Whether a code, written as issued, has our letters and its check character."""
    return bool(_OURS.fullmatch(code)) and _checks(code.replace("-", ""))


def normalise(text: str) -> str:
    """``3k7q 4`` as ``3K7Q-4``; text of another shape only loses the outer spaces."""
    bare = re.sub(r"[\s-]", "", text).upper()
    code = f"{bare[:-1]}-{bare[-1:]}"
    return code if _LIKE_OURS.fullmatch(code) or is_valid(code) else text.strip()


def completed(text: str) -> str:
    """``3k7q``, typed without its check character, as ``3K7Q-4``; "" for other text."""
    bare = re.sub(r"[\s-]", "", text).upper()
    if len(bare) < NARROWEST or set(bare) - set(ALPHABET):
        return ""
    return f"{bare}-{check_character(bare)}"


def mistyped(text: str) -> bool:
    """Whether text has the shape of our codes and is not one: ask to look again."""
    code = normalise(text)
    return bool(_LIKE_OURS.fullmatch(code)) and not is_valid(code)


def _checks(characters: str) -> bool:
    return check_character(characters[:-1]) == characters[-1]


def _swaps_unseen(characters: str) -> bool:
    return any(
        left != right
        and _checks(characters[:place] + right + left + characters[place + 2 :])
        for place, (left, right) in enumerate(pairwise(characters))
    )
