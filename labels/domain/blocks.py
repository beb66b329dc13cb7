"""The blocks of a label: what stands together, in which order and type."""

from dataclasses import dataclass
from decimal import Decimal

from labels.domain.codes import Code, batch_code, shelf_code
from labels.domain.columns import Column, Jar, Line, Rule, Unfit
from labels.domain.dress import E_HEIGHT, Dress
from labels.domain.inks import Mark, Placed, book, box, estimated
from labels.domain.label import LabelContent
from production.quantities.domain.numbers import ZERO

TIGHT = Decimal("1.06")
JAR = Decimal("8.5")
E_WIDE = Decimal("1.05")  # of the e-mark, for each mm of its height


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of type between the least (0) and the generous (1), and the height of the
    maker's mark, in mm."""

    product: Decimal
    identity: Decimal
    scent: Decimal
    function: Decimal
    ingredients: Decimal
    cautions: Decimal
    text: Decimal
    net: Decimal
    mark: Decimal


def named(content: LabelContent, dress: Dress) -> bool:
    """Whether the product has a name beside what it is."""
    return bool(dress.product) and dress.product.lower() != content.identity.lower()


def set_head(content: LabelContent, dress: Dress, sizes: Sizes, column: Column) -> None:
    """The mark, the name of the product and its scent, then what it is and is for."""
    if dress.mark:
        _set_mark_of_maker(dress.mark, sizes, column)
    name, part = content.identity, "identity"
    if named(content, dress):
        name, part = dress.product, "product"
    if dress.design == "band":
        _set_band(part, name, sizes.product, column)
    else:
        column.add(part, [(name, True)], sizes.product, TIGHT)
    column.gap(sizes.text * Decimal("0.3"))
    column.add("scent", [(dress.scent, False)], sizes.scent)
    if part == "product":
        column.gap(sizes.text * Decimal("0.45"))
        column.add("identity", [(content.identity, True)], sizes.identity)
    column.gap(sizes.text * Decimal("0.25"))
    column.add("function", [(content.function, False)], sizes.function)
    column.gap(sizes.text * Decimal("0.25"))
    column.add("second language", [(content.second_language, False)], sizes.text)


def _set_mark_of_maker(mark: Mark, sizes: Sizes, column: Column) -> None:
    high = min(sizes.mark, column.width / mark.shape)
    wide = high * mark.shape
    column.marks.append(Placed(mark, column.start_of(wide), column.height, wide, high))
    column.height += high + sizes.text * Decimal("0.9")


def _set_band(part: str, name: str, size: Decimal, column: Column) -> None:
    """White on a black band as wide as the column."""
    face, pad = column.faces.bold, size * Decimal("0.42")
    inside = Column(column.x + pad, column.width - 2 * pad, column.faces)
    inside.middle = column.middle
    inside.add(part, [(name, True)], size, TIGHT, white=True)
    deep = max(pad, face.descent * size / 1000 + pad / 3)
    high = pad + inside.height + deep
    column.inks.append(box("band", column.x, column.height, column.width, high))
    column.lines += inside.shifted(column.height + pad).lines
    column.widest = max(column.widest, inside.widest + 2 * pad)
    column.height += high


def set_foot(
    content: LabelContent, dress: Dress, sizes: Sizes, column: Column, reach: Decimal
) -> None:
    """The contents: as many parts on a line as fit, and the e-mark behind the last."""
    face, size = column.faces.bold, sizes.net
    rows: list[str] = []
    for part in content.net_contents:
        joined = f"{rows[-1]} {part}" if rows else part
        if rows and face.width(joined, size) <= reach:
            rows[-1] = joined
        else:
            rows.append(part)
    sign = ZERO
    if dress.estimated and rows:
        sign = max(E_HEIGHT, face.figure * size / 1000) + Decimal("0.05")
    behind = size * Decimal("0.45")
    # Set by hand, so that a part is never broken.
    for place, row in enumerate(rows, 1):
        wide, last = face.width(row, size), place == len(rows)
        whole = wide
        if last and sign:
            whole += behind + sign * E_WIDE
        rise = face.capital * size / 1000
        if not column.height:
            column.height += max(rise, sign if last else ZERO)
        else:
            column.height += max(size * Decimal("1.1"), sign * TIGHT if last else ZERO)
        x = column.start_of(whole)
        column.lines.append(Line("contents", row, x, column.height, size, True))
        if last and sign:
            at = x + wide + behind
            column.inks.append(estimated(at, column.height - sign, sign))
        column.widest = max(column.widest, whole)


def set_list(content: LabelContent, sizes: Sizes, column: Column) -> None:
    if content.ingredients:
        listed = [(content.heading, True), (content.ingredients, False)]
        column.add("ingredients", listed, sizes.ingredients)


def set_told(content: LabelContent, sizes: Sizes, column: Column) -> None:
    """Directions and precautions, in each language."""
    between = sizes.text * Decimal("0.45")
    column.gap(between)
    if sizes.cautions == sizes.text:
        told = [(content.directions, False), (content.cautions, False)]
        column.add("cautions", told, sizes.text)
        return
    column.add("directions", [(content.directions, False)], sizes.text)
    column.gap(between)
    column.add("cautions", [(content.cautions, False)], sizes.cautions)


def set_last(content: LabelContent, dress: Dress, sizes: Sizes, column: Column) -> None:
    """Batch, date and symbols, then who made it and how to reach them, then codes."""
    _set_marks(content, dress, sizes, column)
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
    _set_codes(content, dress, sizes, column)


def _set_codes(
    content: LabelContent, dress: Dress, sizes: Sizes, column: Column
) -> None:
    """Codes in rows from the left; the blank beside the column is part of their quiet
    zones."""
    asked = (batch_code(dress.batch_code, content.batch), shelf_code(dress.shelf))
    codes = [code for code in asked if code]
    end = column.x + column.width
    x, row = column.x, ZERO
    if codes:
        column.gap(sizes.text)
    for code in codes:
        left, right = (min(quiet, column.white) for quiet in code.quiet)
        needs = code.width - left - right
        if needs > column.width:
            column.unfit.append(Unfit(code.what, code.clause, needs, column.width))
            continue
        if x == column.x:
            x -= left
        elif x + code.width - right > end:
            column.height += row + sizes.text * Decimal("0.5")
            x, row = column.x - left, ZERO
        _set_code(code, x, column)
        x, row = x + code.width, max(row, code.height)
    column.height += row


def _set_code(code: Code, x: Decimal, column: Column) -> None:
    column.inks.append(code.ink(x, column.height))
    foot = column.height + code.height
    for digit, middle in code.figures:
        wide = column.faces.regular.width(digit, code.figure_size)
        at = x + middle - wide / 2
        column.lines.append(Line("shelf", digit, at, foot, code.figure_size))


def _set_marks(
    content: LabelContent, dress: Dress, sizes: Sizes, column: Column
) -> None:
    beside = column.x + column.width
    if content.after_opening:
        beside -= JAR
        _set_jar(content.after_opening, column, beside)
    if dress.leaflet:
        beside -= JAR + (1 if content.after_opening else 0)
        column.inks.append(book(beside, ZERO, JAR))
    if beside < column.x + column.width:
        column.notch = column.x + column.width - beside + 2
        column.notch_height = JAR + sizes.text * Decimal("0.3")
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
