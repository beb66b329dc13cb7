"""The maker's own mark: read, checked, and made ready to be drawn."""

import base64
import hashlib
import io
from decimal import Decimal
from functools import lru_cache
from typing import cast

from PIL import Image, ImageColor

from labels.domain.inks import Mark
from labels.domain.paint import ENOUGH, PAPER, Colour, contrast_on_white, shown
from labels.domain.svg_mark import read_svg
from production.papers.domain.papers import (
    Paper,
    clean_name,
    read_paper,
    refuse_size,
)
from production.quantities.domain.refusal import Refused

SVG = "image/svg+xml"
LEAST, MOST = 60, 5000  # pixels of a side
# A picture is judged by so many pixels of a side, its soft edges aside.
LOOKED_AT = 200
SOFT = 0.2


def read_mark(name: str, raw: bytes) -> Paper:
    """A mark that can be drawn and seen; refused with what to do."""
    name = clean_name(name)
    refuse_size(name, len(raw))
    if name.lower().endswith(".svg"):
        paper = Paper(name, SVG, hashlib.sha256(raw).hexdigest(), raw)
    elif name.lower().endswith(".png"):
        paper = read_paper(name, raw)
    else:
        raise Refused(f"{name} is no mark: save it as SVG or PNG.")
    mark_of(paper.type, paper.raw)
    return paper


@lru_cache(maxsize=32)
def mark_of(kind: str, raw: bytes) -> Mark:
    """How a mark is drawn; refused for what cannot be."""
    return read_svg(raw, _colour) if kind == SVG else _read_png(raw)


def _colour(name: str) -> Colour:
    if name.lower() == "currentcolor":
        return 0, 0, 0
    red, green, blue, *rest = ImageColor.getrgb(name)
    if rest and rest[0] < 255:
        raise ValueError(name)
    return red, green, blue


def _read_png(raw: bytes) -> Mark:
    try:
        with Image.open(io.BytesIO(raw), formats=["PNG"]) as picture:
            width, height = picture.size
            if min(width, height) < LEAST or max(width, height) > MOST:
                raise Refused(
                    f"The picture has {width} x {height} pixels: take one of {LEAST} "
                    f"to {MOST:,} on each side."
                )
            seen = picture.convert("RGBA")
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise Refused("This PNG cannot be read: save it anew.") from None
    paper = Image.new("RGBA", seen.size, "white")
    flat = Image.alpha_composite(paper, seen).convert("RGB")
    _refuse_light(flat)
    out = io.BytesIO()
    # Only its pixels go on: neither its notes nor its own idea of how large it is.
    flat.save(out, "PNG")
    data = base64.b64encode(out.getvalue()).decode()
    pixels = f"data:image/png;base64,{data}"
    return Mark(Decimal(width), Decimal(height), pixels=pixels)


def _refuse_light(flat: Image.Image) -> None:
    small = flat.copy()
    small.thumbnail((LOOKED_AT, LOOKED_AT))
    # Of three bands each colour has three numbers.
    counted = cast(list[tuple[int, Colour]], small.getcolors(LOOKED_AT**2) or [])
    inks = [(count, contrast_on_white(colour)) for count, colour in counted]
    inks = [(count, contrast) for count, contrast in inks if contrast > PAPER]
    total = sum(count for count, _ in inks)
    if not total:
        raise Refused("The picture is white: nothing would be seen of it.")
    light = [(count, contrast) for count, contrast in inks if contrast < ENOUGH]
    share = sum(count for count, _ in light) / total
    if share > SOFT:
        typical = sorted(contrast for _, contrast in light)[len(light) // 2]
        raise Refused(
            f"{share:.0%} of the picture is too light: a contrast of {shown(typical)} "
            f"on white, and {ENOUGH} is needed. Make it darker, best black."
        )
