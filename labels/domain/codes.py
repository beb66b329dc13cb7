"""Codes that a machine reads, as black modules; lengths in mm.

Their widths and quiet zones are those of ISO/IEC 15417 (Code 128), ISO/IEC 15420
(EAN-13, UPC-A) and ISO/IEC 18004 (QR), all from memory.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import groupby
from typing import Literal

import segno
from barcode.codex import Code128
from barcode.ean import EuropeanArticleNumber13
from barcode.upc import UniversalProductCodeA

from labels.domain.inks import Ink
from production.quantities.domain.refusal import Refused

BatchCode = Literal["", "code128", "qr"]
# One module is three dots of a printer of 300 dpi, and no less than 0.25 mm.
BAR = Decimal("0.254")
# The least size of EAN and UPC is 80 % of the one that the standard draws.
EAN_BAR = Decimal("0.264")
EAN_HIGH = Decimal("18.28")
GUARD = 5  # modules by which the guard bars reach lower
DIGITS = Decimal(12)  # modules: the size of the type of the figures
SQUARE = Decimal("0.423")  # five dots of a printer of 300 dpi
QUIET_128, QUIET_QR = 10, 4
LOWEST_128 = Decimal(5)


@dataclass(frozen=True, slots=True)
class Code:
    """A code with its quiet zones, those left and right in ``quiet``; ``figures`` are
    digits and the middle of each."""

    what: str
    clause: str
    path: str
    width: Decimal
    height: Decimal
    quiet: tuple[Decimal, Decimal]
    figures: tuple[tuple[str, Decimal], ...] = ()
    figure_size: Decimal = Decimal(0)

    def ink(self, x: Decimal, y: Decimal) -> Ink:
        return Ink(self.what, self.path, x, y, self.width, self.height)


@lru_cache(maxsize=64)
def batch_code(kind: BatchCode, text: str) -> Code | None:
    """The batch number for a reader; None where none is asked for or known."""
    if not kind or not text:
        return None
    return _KINDS[kind](text)


def _code_128(text: str) -> Code:
    if not text.isascii() or not text.isprintable():
        raise Refused(
            f"Code 128 holds plain letters and figures alone, and {text} has others: "
            "take the QR code."
        )
    modules = Code128(text).build()[0]
    wide = (len(modules) + 2 * QUIET_128) * BAR
    # At least 5 mm, and 15 % of the width of the bars.
    high = max(LOWEST_128, len(modules) * BAR * Decimal("0.15"))
    bars = _bars(modules, QUIET_128 * BAR, BAR, [high] * len(modules))
    return Code(
        "Code 128",
        "ISO/IEC 15417, from memory",
        bars,
        wide,
        high,
        (QUIET_128 * BAR,) * 2,
    )


def _qr(text: str) -> Code:
    rows = segno.make(text, error="m", micro=False, boost_error=False).matrix
    quiet = QUIET_QR * SQUARE
    path = "".join(
        f"M{quiet + start * SQUARE} {quiet + y * SQUARE}h{count * SQUARE}v{SQUARE}"
        f"h-{count * SQUARE}z"
        for y, row in enumerate(rows)
        for start, count in _runs([str(int(one)) for one in row])
    )
    side = (len(rows) + 2 * QUIET_QR) * SQUARE
    return Code(
        "QR code", "ISO/IEC 18004, from memory", path, side, side, (quiet, quiet)
    )


_KINDS: Mapping[str, Callable[[str], Code]] = {"code128": _code_128, "qr": _qr}


def check_digit(digits: str) -> int:
    """The last figure of an EAN or UPC: every other one counts three times."""
    told = sum(
        int(one) * (3 if place % 2 == 0 else 1)
        for place, one in enumerate(reversed(digits))
    )
    return -told % 10


def read_number(typed: str) -> str:
    """The maker's own number, 13 figures (EAN-13) or 12 (UPC-A), "" for none.

    Refused for another length and a wrong last figure.
    """
    digits = "".join(typed.split()).replace("-", "")
    if not digits:
        return ""
    if not (digits.isascii() and digits.isdigit() and len(digits) in (12, 13)):
        raise Refused(
            "A number for the shelf has 13 figures (EAN-13) or 12 (UPC-A): write it as "
            "it was given to you."
        )
    right = check_digit(digits[:-1])
    if int(digits[-1]) != right:
        raise Refused(
            f"{digits} is mistyped: after {digits[:-1]} its last figure would be "
            f"{right}. Compare it with the number that was given to you."
        )
    return digits


@lru_cache(maxsize=64)
def shelf_code(digits: str) -> Code | None:
    """EAN-13 or UPC-A at its least size; None where there is no number."""
    if not digits:
        return None
    half = Decimal("0.5")
    cells = [3 + 7 * n + 3 + half for n in range(6)]
    cells += [50 + 7 * n + 3 + half for n in range(6)]
    if len(digits) == 12:
        modules, left, right = UniversalProductCodeA(digits).build()[0], 9, 9
        # The first and last figure stand in the quiet zones, their bars reach down.
        what, outer = "UPC-A", 10
        cells[0], cells[-1] = Decimal(-5), Decimal(100)
    else:
        modules, left, right = EuropeanArticleNumber13(digits).build()[0], 11, 7
        what, outer = "EAN-13", 3
        cells.insert(0, Decimal(-6))
    reach = EAN_HIGH + GUARD * EAN_BAR
    highs = [
        reach if n < outer or 45 <= n < 50 or n >= 95 - outer else EAN_HIGH
        for n in range(95)
    ]
    quiet = left * EAN_BAR
    size = DIGITS * EAN_BAR
    return Code(
        what,
        "ISO/IEC 15420, from memory",
        _bars(modules, quiet, EAN_BAR, highs),
        (95 + left + right) * EAN_BAR,
        EAN_HIGH + size * Decimal("0.78"),
        (quiet, right * EAN_BAR),
        tuple(
            (digit, quiet + cell * EAN_BAR)
            for digit, cell in zip(digits, cells, strict=True)
        ),
        size,
    )


def _bars(
    modules: str, start: Decimal, module: Decimal, highs: Sequence[Decimal]
) -> str:
    """One path of all bars; a bar is as high as its first module."""
    return "".join(
        f"M{start + place * module} 0h{count * module}v{highs[place]}"
        f"h-{count * module}z"
        for place, count in _runs(modules)
    )


def _runs(modules: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Where black begins, and how many modules it goes on."""
    place = 0
    for black, group in groupby(modules):
        count = len(list(group))
        if black == "1":
            yield place, count
        place += count
