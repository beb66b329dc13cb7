"""The blocks of a label: what stands together, in which order and type."""

from dataclasses import dataclass
from decimal import Decimal

from labels.domain.columns import Column, Jar, Line, Rule
from labels.domain.label import LabelContent
from production.quantities.domain.numbers import ZERO

TIGHT = Decimal("1.06")
JAR = Decimal("8.5")


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of type between the least (0) and the generous (1), in mm."""

    identity: Decimal
    function: Decimal
    ingredients: Decimal
    cautions: Decimal
    text: Decimal
    net: Decimal


def set_head(content: LabelContent, sizes: Sizes, column: Column) -> None:
    column.add("identity", [(content.identity, True)], sizes.identity, TIGHT)
    column.gap(sizes.text * Decimal("0.4"))
    column.add("function", [(content.function, False)], sizes.function)
    column.gap(sizes.text * Decimal("0.4"))
    column.add("second language", [(content.second_language, False)], sizes.text)


def set_foot(
    content: LabelContent, sizes: Sizes, column: Column, reach: Decimal
) -> None:
    """The contents: as many parts on a line as fit."""
    rows: list[str] = []
    for part in content.net_contents:
        joined = f"{rows[-1]} {part}" if rows else part
        if rows and column.faces.bold.width(joined, sizes.net) <= reach:
            rows[-1] = joined
        else:
            rows.append(part)
    # Set by hand, so that a part is never broken.
    for row in rows:
        rise = column.faces.bold.capital * sizes.net / 1000
        column.height += rise if not column.height else sizes.net * Decimal("1.1")
        column.lines.append(
            Line("contents", row, column.x, column.height, sizes.net, True)
        )
        wide = column.faces.bold.width(row, sizes.net)
        column.widest = max(column.widest, wide)


def set_body(content: LabelContent, sizes: Sizes, column: Column) -> None:
    if content.ingredients:
        listed = [(content.heading, True), (content.ingredients, False)]
        column.add("ingredients", listed, sizes.ingredients)
    between = sizes.text * Decimal("0.45")
    column.gap(between)
    if sizes.cautions == sizes.text:
        told = [(content.directions, False), (content.cautions, False)]
        column.add("cautions", told, sizes.text)
        return
    column.add("directions", [(content.directions, False)], sizes.text)
    column.gap(between)
    column.add("cautions", [(content.cautions, False)], sizes.cautions)


def set_last(content: LabelContent, sizes: Sizes, column: Column) -> None:
    """Batch, date and jar, then who made it and how to reach them."""
    _set_marks(content, sizes, column)
    column.gap(sizes.text * Decimal("0.45"))
    comma = "," if content.maker and content.place else ""
    maker = [(content.maker + comma, True), (content.place, False)]
    column.add("maker", maker, sizes.text)
    for part, text in (
        ("responsible", content.responsible),
        ("origin", content.origin),
        ("contact", content.contact),
    ):
        column.add(part, [(text, False)], sizes.text)
    column.height = max(column.height, column.notch_height)


def _set_marks(content: LabelContent, sizes: Sizes, column: Column) -> None:
    if content.after_opening:
        column.notch, column.notch_height = JAR + 2, JAR + sizes.text * Decimal("0.3")
        _set_jar(content.after_opening, column, column.x + column.width - JAR)
    for part, words, value in (
        ("batch", content.batch_words, content.batch),
        ("best before", content.best_before_words, content.best_before),
    ):
        if value or part in content.to_write:
            _set_mark(column, part, words, value, sizes.text)


def _set_mark(column: Column, part: str, words: str, value: str, size: Decimal) -> None:
    """A word and its value, or a line to write the value on."""
    if value:
        told = [(words, False), (value, True)]
        after = column.lines and column.lines[-1].part == "batch" and not column.rules
        if not (after and column.beside(part, told, size)):
            column.add(part, told, size)
        return
    column.add(part, [(words, False)], size)
    start = column.x + column.faces.regular.width(words + " ", size)
    y = column.height + size * Decimal("0.15")
    end = min(start + 30, column.x + column.width)
    column.rules.append(Rule(start, y, end, y))


def _set_jar(months: str, column: Column, x: Decimal) -> None:
    column.jars.append(Jar(x, ZERO, JAR))
    size = JAR * Decimal("0.34")
    wide = column.faces.bold.width(months, size)
    column.lines.append(
        Line(
            "after opening",
            months,
            x + (JAR - wide) / 2,
            JAR * Decimal("0.8"),
            size,
            True,
        )
    )
