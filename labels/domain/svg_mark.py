"""A drawing from outside, cleaned: shapes and plain colours, and nothing else.

Refused where it holds anything that runs, fetches, or would be drawn otherwise here.
"""

import re
from collections.abc import Callable, Iterator
from decimal import Decimal, InvalidOperation
from xml.etree import ElementTree
from xml.sax.saxutils import quoteattr

from labels.domain.inks import Mark
from labels.domain.paint import ENOUGH, PAPER, Colour, contrast_on_white, shown
from production.quantities.domain.refusal import Refused

SVG = "{http://www.w3.org/2000/svg}"
SHAPES = {
    "path": {"d"},
    "rect": {"x", "y", "width", "height", "rx", "ry"},
    "circle": {"cx", "cy", "r"},
    "ellipse": {"cx", "cy", "rx", "ry"},
    "line": {"x1", "y1", "x2", "y2"},
    "polyline": {"points"},
    "polygon": {"points"},
}
DRAWN = {"transform", "fill", "fill-rule", "stroke", "stroke-width"}
DRAWN |= {"stroke-linecap", "stroke-linejoin", "stroke-miterlimit"}
UNSEEN = {"title", "desc", "metadata", "defs"}
# What would change the drawing if it were left out.
CHANGES = {"clip-path", "mask", "filter", "opacity", "fill-opacity", "stroke-opacity"}
CHANGES |= {"stroke-dasharray", "marker-start", "marker-mid", "marker-end"}
_PLAIN = re.compile(r"[\w\s.,()+#%-]*", re.ASCII)
MOST_SHAPES, DEEPEST, MOST_BYTES = 3000, 25, 500_000
_HOW = "Save it as a plain SVG of shapes"
ReadColour = Callable[[str], Colour]


def read_svg(raw: bytes, colour: ReadColour) -> Mark:
    """Read a drawing; ``colour`` tells the red, green and blue of a colour's name and
    raises ValueError for none. Refused with what to do."""
    if len(raw) > MOST_BYTES:
        raise Refused("The drawing is larger than 500 kB: draw the mark simpler.")
    root = _parsed(raw)
    if root.tag != f"{SVG}svg":
        raise Refused(f"This is no SVG drawing. {_HOW}, or as PNG.")
    left, top, width, height = _view(root)
    _refuse_foreign("g", root)
    told = _told(root)
    above = {key: told[key] for key in DRAWN - {"transform"} if key in told}
    contrasts: list[float] = []

    def noted(paint: str) -> Colour:
        seen = colour(paint)
        contrasts.append(contrast_on_white(seen))
        return seen

    shapes = list(_shapes(root, noted, above, 0))
    if not shapes:
        raise Refused(f"Nothing is drawn in it. {_HOW}, with letters as outlines.")
    if max(contrasts, default=PAPER) <= PAPER:
        raise Refused("The drawing is white: nothing would be seen of it.")
    if len(shapes) > MOST_SHAPES:
        raise Refused("The drawing has too many shapes: draw the mark simpler.")
    # A group opens and closes within one shape, so each of them stands alone.
    drawn = f'<g transform="translate({-left} {-top})">{"".join(shapes)}</g>'
    return Mark(width, height, drawn=drawn)


def _parsed(raw: bytes) -> ElementTree.Element:
    if b"<!ENTITY" in raw.upper():
        raise Refused(f"It defines words of its own (ENTITY). {_HOW}.")
    try:
        return ElementTree.fromstring(raw)
    except (ElementTree.ParseError, ValueError, LookupError):
        raise Refused(f"This is no SVG drawing. {_HOW}, or as PNG.") from None


def _view(root: ElementTree.Element) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    told = re.split(r"[\s,]+", root.get("viewBox", "").strip())
    if told == [""]:
        told = ["0", "0", root.get("width", ""), root.get("height", "")]
    try:
        left, top, width, height = (
            Decimal(re.sub(r"(px|mm|cm|pt|in)$", "", one)) for one in told
        )
        known = all(one.is_finite() and abs(one) < 10**6 for one in (left, top))
        known = known and 0 < width < 10**6 and 0 < height < 10**6
        known = known and Decimal("0.1") <= width / height <= 10
    except (InvalidOperation, ValueError):
        known = False
    if not known:
        raise Refused(
            "The drawing does not say how large it is (viewBox), or is over ten times "
            "as long as wide: draw it on a page of its own size."
        )
    return left, top, width, height


def _shapes(
    node: ElementTree.Element, colour: ReadColour, above: dict[str, str], depth: int
) -> Iterator[str]:
    """Each shape with all that it inherits; whatever runs or fetches is refused."""
    if depth > DEEPEST:
        raise Refused(f"Its groups are nested too deep. {_HOW}.")
    for one in node:
        if not isinstance(one.tag, str) or not one.tag.startswith("{"):
            continue
        space, _, name = one.tag[1:].partition("}")
        if f"{{{space}}}" != SVG:
            if name.lower() in ("script", "iframe", "object", "embed"):
                raise Refused(f"It holds something that runs ({name}). {_HOW}.")
            continue  # notes of the program that drew it
        _refuse_foreign(name, one)
        told = _told(one)
        if name in UNSEEN or told.get("display") == "none":
            continue
        if told.get("visibility") in ("hidden", "collapse"):
            continue
        inherited = {**above, **{key: told[key] for key in DRAWN if key in told}}
        inherited.pop("transform", None)
        turn = _attribute("transform", told.get("transform", ""))
        if name == "g":
            for inner in _shapes(one, colour, inherited, depth + 1):
                yield f"<g{turn}>{inner}</g>" if turn else inner
        else:
            _refuse_light(inherited, colour)
            own = {key: told[key] for key in SHAPES[name] if key in told}
            drawn = "".join(
                _attribute(key, value)
                for key, value in sorted({**inherited, **own}.items())
            )
            yield f"<{name}{drawn}{turn}/>"


def _refuse_foreign(name: str, one: ElementTree.Element) -> None:
    if name == "script" or any(key.lower().startswith("on") for key in one.attrib):
        raise Refused(f"It holds a script. {_HOW}: a mark runs nothing.")
    if name in ("image", "use", "foreignObject", "a", "switch"):
        raise Refused(f"It takes something in from elsewhere ({name}). {_HOW}.")
    if any(key.rpartition("}")[2] in ("href", "src") for key in one.attrib):
        raise Refused(f"It points at something elsewhere. {_HOW}.")
    if name in ("text", "tspan", "textPath"):
        raise Refused(
            "Its letters would be printed in another font: turn them into outlines."
        )
    if name == "style":
        raise Refused(
            f"It is coloured by a style sheet. {_HOW} that carry their colours."
        )
    if name not in SHAPES and name not in UNSEEN and name != "g":
        raise Refused(f"{name} cannot be drawn here. {_HOW} alone.")


def _told(one: ElementTree.Element) -> dict[str, str]:
    """What is said of a shape, by its attributes and in its style."""
    told = {key: value.strip() for key, value in one.attrib.items()}
    for part in told.pop("style", "").split(";"):
        key, colon, value = part.partition(":")
        if colon:
            told[key.strip().lower()] = value.replace("!important", "").strip()
    for key in CHANGES & told.keys():
        if told[key].lower() not in ("none", "1", "1.0", "100%"):
            raise Refused(f"It uses {key}, which is not drawn here. {_HOW} without it.")
    if any("url(" in value.lower() for value in told.values()):
        raise Refused(f"It is filled with shades or points elsewhere. {_HOW} in black.")
    return told


def _attribute(name: str, value: str) -> str:
    if not value:
        return ""
    if not _PLAIN.fullmatch(value):
        raise Refused(f"What stands in {name} cannot be read. {_HOW}.")
    return f" {name}={quoteattr(' '.join(value.split()))}"


def _refuse_light(told: dict[str, str], colour: ReadColour) -> None:
    for paint in (told.get("fill", "black"), told.get("stroke", "none")):
        if paint.lower() in ("none", "transparent"):
            continue
        try:
            contrast = contrast_on_white(colour(paint))
        except ValueError:
            raise Refused(
                f"{paint} is no colour that is known here: take black."
            ) from None
        if PAPER < contrast < ENOUGH:
            raise Refused(
                f"Its colour {paint} has a contrast of {shown(contrast)} on white and "
                f"needs {ENOUGH}: draw it darker, best in black."
            )
