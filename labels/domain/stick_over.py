"""A small label that goes over what already stands on a bottle; lengths in mm."""

from decimal import Decimal

from labels.domain.columns import Column, Faces
from labels.domain.drawing import Drawing, fine
from labels.domain.heights import Heights
from labels.domain.label import LabelContent, Missing
from labels.domain.sizes import size_for
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

EDGE = Decimal("1.5")
STEPS = 10
# The largest type, for each mm of the shorter side.
LARGEST = Decimal("0.2")


def stick_over(
    content: LabelContent,
    words: str,
    width: Decimal,
    height: Decimal,
    heights: Heights,
    faces: Faces,
) -> Drawing:
    """``words``, or the batch number and the date where there are none.

    In letters as high as the highest that any text of the label needs, since it may
    stand for any. It is a draft while the label itself is one. Refused for no size, no
    words and a sign that the font lacks.
    """
    if not (10 <= width <= 300 and 8 <= height <= 400):
        raise Refused("Make it 10 to 300 mm wide and 8 to 400 mm high.")
    parts = _parts(content, words)
    if not parts:
        raise Refused("There is no batch number and no date: write the corrected text.")
    high = max(heights.text, heights.ingredients, heights.warnings)
    least = max(size_for(high, faces.regular.x), size_for(high, faces.bold.x))
    most = max(least, min(width, height) * LARGEST)
    for step in range(STEPS, -1, -1):
        size = fine(least + (most - least) * step / STEPS)
        column = Column(EDGE, width - 2 * EDGE, faces)
        for part, runs in parts:
            column.add(part, runs, size)
        deep = column.height + faces.regular.descent * size / 1000
        free = height - 2 * EDGE - deep
        lacks = max(-free, column.widest - column.width)
        if lacks <= 0:
            break
    missing = content.missing
    if lacks > 0:
        missing += (
            Missing(
                "Room for the text",
                f"At letters of {plain(high.quantize(Decimal('0.01')))} mm it lacks "
                f"{plain(fine(lacks))} mm: choose a larger one, or say less.",
                heights.text_clause.cited,
            ),
        )
    column = column.shifted(EDGE + max(Decimal(0), free) / 2)
    return Drawing(
        width,
        height,
        tuple(column.lines),
        (),
        (),
        missing,
        language=content.languages[0] if content.languages else "en",
    )


def _parts(
    content: LabelContent, words: str
) -> list[tuple[str, list[tuple[str, bool]]]]:
    if words.strip():
        return [("text", [(line, False)]) for line in words.splitlines()]
    return [
        (part, [(word, False), (value, True)])
        for part, word, value in (
            ("batch", content.batch_words, content.batch),
            ("best before", content.best_before_words, content.best_before),
        )
        if value
    ]
