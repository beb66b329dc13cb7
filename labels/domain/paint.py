"""Whether what is drawn can be seen on white paper."""

from decimal import Decimal

Colour = tuple[int, int, int]
# What a picture needs beside its ground: WCAG 2.2, 1.4.11.
ENOUGH = 3
# So light that it is meant to be paper.
PAPER = 1.1


def contrast_on_white(colour: Colour) -> float:
    """From 1 (white) to 21 (black). WCAG 2.2, relative luminance and contrast ratio."""
    red, green, blue = (_linear(one / 255) for one in colour)
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def _linear(share: float) -> float:
    return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4


def shown(contrast: float) -> Decimal:
    return round(Decimal(contrast), 1)
