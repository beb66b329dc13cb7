"""Codes that the tool issues: short, hard to misread, and a slip of the pen shows."""

import re
import unicodedata
from dataclasses import dataclass
from itertools import pairwise
from string import ascii_uppercase, digits

from production.quantities.domain.code_shape import LOOK_ALIKES
from production.quantities.domain.refusal import Refused

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
_PAPER = re.compile(r"(P|S|RT)[- ]+([0-9]{1,12})")
_MARK = re.compile(r"[Bb]-\s*")
# What may be meant for a number or a code of ours, among other words.
_PAPER_INSIDE = re.compile(
    r"(?<![A-Z0-9])(?:(?:P|S|RT)(?:[^A-Z0-9]+[0-9]+|[0-9]+(?![A-Z0-9]))"
    r"|(?:SALE|PURCHASE|RETURN)S?[^A-Z0-9]+[0-9]+)"
)
_CODE_INSIDE = re.compile(r"(?<![A-Z0-9])[0-9A-Z]{4,6}-[0-9A-Z](?![A-Z0-9])")
_WORD = re.compile(r"[A-Z0-9]+")


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
    plain = _tidy(bare)
    if paper := _PAPER.fullmatch(plain.upper()):
        series = next(name for name, mark in PAPERS.items() if mark == paper[1])
        return Issued(f"{paper[1]}-{int(paper[2])}", series, int(paper[2]))
    mark = _MARK.match(plain)
    rest = plain[mark.end() :] if mark else plain
    if mistyped(rest):
        raise ValueError(f"{bare} is mistyped")
    for code in (normalise(rest), completed(rest)):
        if (serial := serial_of(code)) is not None:
            return Issued(f"B-{code}" if mark else code, LOT, serial)
    return Issued(bare)


def read_entry(text: str, *, near: int) -> list[Issued]:
    """What one entry of a list says that was read off: one code, or several in a row.

    A code without its check character counts up to the serial number ``near``. One
    of no series is a mark of somebody else, or a code of ours that is mistyped. Raises
    Refused where a code of ours stands among other words, or where there is none.
    """
    bare = " ".join(text.split())
    for parts in ([bare], bare.split()):
        read = [_read_alone(part, near) for part in parts]
        if all(one is not None for one in read):
            return [one for one in read if one is not None]
    if _LIKE_OURS.fullmatch(_tidy(bare).upper()):
        return [Issued(bare)]
    if inside := _inside(_tidy(bare).upper(), near):
        raise Refused(
            f"{bare}: is {inside} in it a code or number of this book? Write each on "
            "a line of its own as it is given out, such as S-32 or 3K7Q-4, with "
            "nothing else beside it."
        )
    if not any(one.isdecimal() for one in bare):
        raise Refused(
            f"{bare} is no code: there is no digit in it. Write what stands on the "
            "bottle or the paper; or leave it out."
        )
    return [Issued(bare)]


def _read_alone(text: str, near: int) -> Issued | None:
    """A code of ours and nothing else; None for what may be read as another thing."""
    plain = _tidy(text).strip(" -,:;!?\"'()[]").upper()
    if _PAPER_INSIDE.match(plain) and not _PAPER.fullmatch(plain):
        # S234 is a sale, or a lot whose last character was left out.
        proven = _OURS.fullmatch(plain) and serial_of(plain) is not None
        if not proven:
            return None
    try:
        issued = read_issued(plain)
    except ValueError:
        return None
    whole = issued.text.removeprefix("B-").replace("-", "")
    letters = re.sub(r"[\s-]", "", plain.removeprefix("B-"))
    if not issued.series:
        return None
    if issued.series == LOT and letters != whole and issued.serial > near:
        return None
    return issued


def _inside(plain: str, near: int) -> str:
    """What may be a number or a code of ours among other words; "" where none is."""
    if paper := _PAPER_INSIDE.search(plain):
        return paper[0]
    for code in _CODE_INSIDE.findall(plain):
        if serial_of(code) is not None:
            return str(code)
    for word in _WORD.findall(plain):
        serial = serial_of(completed(word))
        if serial is not None and serial <= near:
            return str(word)
    return ""


def _tidy(text: str) -> str:
    """With plain digits, letters and hyphens: any dash, and ``S.32``, as ``S-32``."""
    found = []
    for one in unicodedata.normalize("NFKC", text):
        kind = unicodedata.category(one)
        if kind == "Nd":
            found.append(str(unicodedata.decimal(one)))
        elif kind == "Pd" or one in "._/#:\u2212\u00b7":
            found.append("-")
        elif kind != "Cf":
            found.append(LOOK_ALIKES.get(one, one))
    return "".join(found)


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
