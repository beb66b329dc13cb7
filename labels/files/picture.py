"""A label for the screen: the outlines of the very letters that are printed."""

from decimal import Decimal

from django.conf import settings
from django.template.loader import render_to_string

from labels.domain.drawing import Drawing, word_across
from labels.domain.inks import Mark, Placed
from labels.files.fonts import faces, outline


def picture(drawing: Drawing) -> str:
    """SVG at real size, without any font: what is seen is what is printed; of a pair
    the front and then the back."""
    return "\n".join(_side(side) for side in drawing.sides)


def mark_picture(mark: Mark) -> str:
    """A mark by itself, twenty mm high and at most eighty wide."""
    high = min(Decimal(20), 80 / mark.shape)
    placed = Placed(mark, Decimal(0), Decimal(0), high * mark.shape, high)
    none: tuple[()] = ()
    return picture(
        Drawing(
            placed.width, high, none, none, none, none, marks=(placed,), overlay=True
        )
    )


def _side(drawing: Drawing) -> str:
    lines = [*drawing.lines]
    across = word_across(drawing, faces(), demo=settings.DEMO)
    letters = {(letter, line.bold) for line in lines for letter in line.text}
    if across:
        letters |= {(letter, True) for letter in across.text}
    marks = {place: f"g{n}" for n, place in enumerate(sorted(letters))}
    return render_to_string(
        "labels/_drawing.svg",
        {
            "drawing": drawing,
            "outlines": [(marks[place], outline(*place)) for place in sorted(letters)],
            "lines": [_set(line.text, line.bold, line, marks) for line in lines],
            "across": across and _set(across.text, True, across, marks),
            # Inside the letters' own scale.
            "pen": across and across.stroke * 1000 / across.size,
            "words": " ".join(line.text for line in drawing.lines),
        },
    )


def _set(text: str, bold: bool, line, marks: dict[tuple[str, bool], str]) -> dict:
    """Each letter with the thousandths before it."""
    face, x, letters = faces()[bold], 0, []
    for letter in text:
        if letter != " ":
            letters.append((marks[letter, bold], x))
        x += face.widths[letter]
    return {"letters": letters, "scale": line.size / Decimal(1000), "line": line}
