"""A product that does not exist, as JSON of our own: read with the place of each fault.

Shares are fractions, never percent. Figures stand as strings or as numbers; amounts may
carry a unit (``"35 lb"``), a bare figure is grams, or pieces of what goes on a piece.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Literal

from costing.domain.ideas import STAGES, Idea, IdeaLine, Place, Quote
from costing.domain.planned_bottle import Effort
from production.quantities.domain.number_text import read_figure
from production.quantities.domain.numbers import ONE, ZERO, grams, money, plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import A_KILO, read_amount
from production.recipes.domain.oil_shares import Typed, shared_out

KEYS = (
    "name",
    "pieces",
    "base",
    "oils",
    "superfat",
    "koh_share",
    "koh_purity",
    "naoh_purity",
    "lye_strength",
    "soap_content",
    "water_per_alkali",
    "finishing",
    "fill",
    "density",
    "packaging",
    "losses",
    "minutes",
    "energy",
    "prices",
)
LINE_KEYS: Mapping[Place, tuple[str, ...]] = {
    "oil": ("item", "share", "amount", "price"),
    "finishing": ("item", "share", "price"),
    "packaging": ("item", "each", "price"),
    "price": ("item", "price"),
}


class _Entry:
    """One JSON object, and the place where it stands in the file."""

    def __init__(self, said: object, place: str, keys: Sequence[str]) -> None:
        if not isinstance(said, Mapping):
            raise Refused(f"Write {place or 'the product'} as a JSON object: {{...}}.")
        unknown = [str(key) for key in said if key not in keys]
        if unknown:
            raise Refused(
                f"{place or 'A product'} has no {', '.join(map(repr, unknown))}: use "
                f"{', '.join(keys)}."
            )
        # A null says as little as a key left out.
        self.said = {key: one for key, one in said.items() if one is not None}
        self.at = f"{place}." if place else ""

    def text(self, key: str, default: str | None = None) -> str:
        text = self.said.get(key, default)
        if not isinstance(text, str) or (default is None and not text.strip()):
            raise Refused(f"Write {self.at}{key} as a text in quotes.")
        return text.strip()

    def number(self, key: str) -> Decimal | None:
        said = self.said.get(key)
        if said is None:
            return None
        number = None
        if isinstance(said, Decimal | int | str) and not isinstance(said, bool):
            number = read_figure(said)
        if number is None:
            raise Refused(f"Write {self.at}{key} as a plain number such as 0.5.")
        if number < 0:
            raise Refused(f"{self.at}{key} is below zero: write it without the minus.")
        return number

    def fraction(self, key: str) -> Decimal | None:
        share = self.number(key)
        if share is not None and share > 1:
            raise Refused(
                f"{self.at}{key} is a fraction: write {plain(share)} % as "
                f"{plain(share / 100)}."
            )
        return share

    def amount(
        self, key: str, unit: Literal["g", "piece"], density: Decimal | None = None
    ) -> Decimal | None:
        """Grams or pieces; refused with the place where it is neither."""
        said = self.said.get(key)
        if said is None:
            return None
        if isinstance(said, bool) or not isinstance(said, Decimal | int | str):
            raise Refused(f'Write {self.at}{key} as an amount such as "250 g".')
        text = said if isinstance(said, str) else plain(Decimal(said))
        try:
            read = read_amount(text, unit=unit, density=density)
        except Refused as fault:
            raise Refused(f"{self.at}{key}: {fault}") from fault
        return read.grams_or_pieces

    def rows(self, key: str, keys: Sequence[str]) -> "list[_Entry]":
        said = self.said.get(key, ())
        if not isinstance(said, list | tuple):
            raise Refused(f"Write {self.at}{key} as a JSON list: [...].")
        return [
            _Entry(row, f"{self.at}{key}[{place}]", keys)
            for place, row in enumerate(said)
        ]

    def inside(self, key: str, keys: Sequence[str]) -> "_Entry":
        return _Entry(self.said.get(key, {}), f"{self.at}{key}", keys)


def read_idea(data: object) -> Idea:
    """A product as a plain value. Give it JSON parsed with Decimal for every number.

    Refused, naming the place, for what is no figure, a key that nobody knows, and what
    a plan cannot do without.
    """
    said = _Entry(data, "", KEYS)
    pieces = said.number("pieces")
    if not pieces or pieces != int(pieces):
        raise Refused("Write pieces: how many are made together, a whole number.")
    koh_share = said.fraction("koh_share")
    lines = (*_oils(said), *_lines(said, "finishing"), *_lines(said, "packaging"))
    return Idea(
        name=said.text("name", "This product"),
        pieces=pieces,
        base=said.text("base", ""),
        lines=(*lines, *_prices(said)),
        superfat=said.fraction("superfat"),
        koh_share=ONE if koh_share is None else koh_share,
        koh_purity=said.fraction("koh_purity"),
        naoh_purity=said.fraction("naoh_purity"),
        water_per_alkali=said.number("water_per_alkali"),
        lye_strength=said.fraction("lye_strength"),
        soap_content=said.fraction("soap_content"),
        fill=said.amount("fill", "g", said.number("density")),
        losses=_losses(said),
        effort=_effort(said),
    )


def _oils(said: _Entry) -> list[IdeaLine]:
    rows = said.rows("oils", LINE_KEYS["oil"])
    if not rows:
        return []
    typed = [
        Typed(row.text("item"), True, row.fraction("share"), row.amount("amount", "g"))
        for row in rows
    ]
    try:
        shares, _ = shared_out(typed, A_KILO)
    except Refused as fault:
        raise Refused(f"oils: {fault}") from fault
    return [
        _line(row, "oil", share=share) for row, share in zip(rows, shares, strict=True)
    ]


def _lines(said: _Entry, place: Literal["finishing", "packaging"]) -> list[IdeaLine]:
    found = []
    for row in said.rows(place, LINE_KEYS[place]):
        share = row.fraction("share") if place == "finishing" else None
        each = row.number("each") if place == "packaging" else None
        if place == "finishing" and not share:
            raise Refused(f"Write {row.at}share: the part of the finished soap.")
        found.append(_line(row, place, share=share, each=each))
    return found


def _prices(said: _Entry) -> list[IdeaLine]:
    """Of what goes in by itself: alkali, water, and what a recipe of the book takes."""
    return [_line(row, "price") for row in said.rows("prices", LINE_KEYS["price"])]


def _line(
    row: _Entry,
    place: Place,
    *,
    share: Decimal | None = None,
    each: Decimal | None = None,
) -> IdeaLine:
    name, price = row.text("item"), row.said.get("price", "last")
    if each == 0:
        raise Refused(f"{row.at}each is 0: leave the line out.")
    if price == "last":
        return IdeaLine(place, name, share, each)
    if price == "stock":
        return IdeaLine(place, name, share, each, "stock")
    if isinstance(price, str):
        raise Refused(
            f'Write {row.at}price as "last", "stock", or as '
            '{"amount": "35 lb", "price": "78.50"}.'
        )
    quote = row.inside("price", ("amount", "price"))
    unit: Literal["g", "piece"] = "piece" if place == "packaging" else "g"
    amount, money_asked = quote.amount("amount", unit), quote.number("price")
    if amount is None or money_asked is None:
        raise Refused(f"Write {quote.at}amount and {quote.at}price, both of them.")
    try:
        of_it = Quote(grams(amount), money(money_asked))
    except Refused as fault:
        raise Refused(f"{quote.at}amount: {fault}") from fault
    return IdeaLine(place, name, share, each, "quote", of_it)


def _losses(said: _Entry) -> dict[str, Decimal]:
    losses = said.inside("losses", STAGES)
    found = {}
    for stage in STAGES:
        share = losses.fraction(stage)
        if share == 1:
            raise Refused(f"{losses.at}{stage}: write a loss below the whole.")
        if share is not None:
            found[stage] = share
    return found


def _effort(said: _Entry) -> Effort:
    minutes = said.inside("minutes", ("batch", "piece", "rate"))
    return Effort(
        minutes.number("batch") or ZERO,
        minutes.number("piece") or ZERO,
        minutes.number("rate"),
        said.number("energy"),
    )
