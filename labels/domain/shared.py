"""What labels of several lots have in common, drawn once for all of them."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from labels.domain.drawing import Drawing

# What alone may differ where the recipe, the card and the rules are the same.
PARTS = frozenset({"batch", "best before"})
CODES = frozenset({"Code 128", "QR code"})


def shared(sides: Sequence[Drawing]) -> dict[Drawing, tuple[Drawing, ...]]:
    """Of each side the layers that make it up: itself, or what it shares with another
    and what it has alone."""
    common = {side: _common(side) for side in sides}
    times = Counter(common.values())
    return {
        side: (common[side], _alone(side)) if times[common[side]] > 1 else (side,)
        for side in sides
    }


def _common(side: Drawing) -> Drawing:
    return replace(
        side,
        lines=tuple(line for line in side.lines if line.part not in PARTS),
        inks=tuple(ink for ink in side.inks if ink.what not in CODES),
        back=None,
    )


def _alone(side: Drawing) -> Drawing:
    return replace(
        side,
        lines=tuple(line for line in side.lines if line.part in PARTS),
        inks=tuple(ink for ink in side.inks if ink.what in CODES),
        rules=(),
        jars=(),
        marks=(),
        missing=(),
        back=None,
        overlay=True,
    )
