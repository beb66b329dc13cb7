"""Characters that no eye sees, and that stand in no code, number or name."""

import unicodedata

from production.quantities.domain.refusal import Refused

# First and last of the characters with the property Default_Ignorable_Code_Point
# (Unicode Standard Annex #44), of Unicode 14.0 as Perl 5.36 lists them.
_IGNORED = (
    (0x00AD, 0x00AD),
    (0x034F, 0x034F),
    (0x061C, 0x061C),
    (0x115F, 0x1160),
    (0x17B4, 0x17B5),
    (0x180B, 0x180F),
    (0x200B, 0x200F),
    (0x202A, 0x202E),
    (0x2060, 0x206F),
    (0x3164, 0x3164),
    (0xFE00, 0xFE0F),
    (0xFEFF, 0xFEFF),
    (0xFFA0, 0xFFA0),
    (0xFFF0, 0xFFF8),
    (0x1BCA0, 0x1BCA3),
    (0x1D173, 0x1D17A),
    (0xE0000, 0xE0FFF),
)
# Signs that are drawn as nothing: the empty braille cell, the empty note (from memory).
_BLANK = "\u2800\U0001d159"
NO_BREAK = "\u00a0"
# Control, format, half a pair, line and paragraph ends.
_UNWRITTEN = ("Cc", "Cf", "Cs", "Zl", "Zp")


def unseen(one: str) -> bool:
    """Whether a character other than the plain space is drawn as nothing."""
    if one == " ":
        return False
    if unicodedata.category(one)[0] in "CZ" or one in _BLANK:
        return True
    return any(first <= ord(one) <= last for first, last in _IGNORED)


def named(one: str) -> str:
    return f"U+{ord(one):04X}" if one else ""


def refuse_number(number: str) -> None:
    """The number of a paper: one line, and no spaces but plain and unbroken ones."""
    _refuse("number", [one for one in number if unseen(one) and one != NO_BREAK])


def refuse_name(what: str, text: str) -> None:
    """A name, or a mark that others gave: no control or format character, one line."""
    _refuse(what, [one for one in text if unicodedata.category(one) in _UNWRITTEN])


def _refuse(what: str, found: list[str]) -> None:
    if found:
        raise Refused(
            f"There is a line break or a character in the {what} that cannot be seen "
            f"({named(found[0])}). Type it by hand, on one line."
        )
