"""A recipe as JSON and its answer: every default taken is said, every figure a string.

Fractions throughout, never percent; numbers may stand as numbers or as strings.
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from decimal import ROUND_HALF_UP, Decimal, localcontext

from production.chemistry.domain.constants import EXACT
from production.chemistry.domain.pot import Acid, Oil, Pot
from production.chemistry.domain.saponification import OilShare, Saponification
from production.quantities.domain.number_text import read_figure
from production.quantities.domain.numbers import ONE, ZERO, plain
from production.quantities.domain.refusal import Refused

SIX_PLACES = Decimal("0.000001")

# The file knows the pot itself; what joins it and takes no part is not in it.
RECIPE_KEYS = tuple(
    field.name for field in fields(Pot) if field.name not in ("in_the_lye", "added")
)
OIL_KEYS = tuple(field.name for field in fields(Oil))
ACID_KEYS = tuple(field.name for field in fields(Acid))
FIGURES = tuple(
    field.name
    for field in fields(Saponification)
    if field.name not in ("by_oil", "remarks")
)


class _Entry:
    """One JSON object: hands out its figures and notes each default it had to take."""

    def __init__(
        self, stated: object, path: str, keys: Sequence[str], assumed: dict[str, str]
    ) -> None:
        if not isinstance(stated, Mapping):
            raise Refused(f"Write {path or 'the recipe'} as a JSON object: {{...}}.")
        unknown = [str(key) for key in stated if key not in keys]
        if unknown:
            raise Refused(
                f"{path or 'A recipe'} has no {', '.join(map(repr, unknown))}: "
                f"use {', '.join(keys)}."
            )
        # A null says as little as a key left out.
        self._stated = {k: v for k, v in stated.items() if v is not None}
        self._prefix = f"{path}." if path else ""
        self._assumed = assumed

    def __contains__(self, key: str) -> bool:
        return key in self._stated

    def _assume(self, key: str, value: str) -> None:
        self._assumed[self._prefix + key] = value

    def number(self, key: str) -> Decimal:
        if key not in self._stated:
            raise Refused(f"Add {self._prefix}{key}: it is missing, and never assumed.")
        return _number(self._stated[key], self._prefix + key)

    def number_or_none(self, key: str) -> Decimal | None:
        return self.number(key) if key in self else None

    def number_or(self, key: str, default: Decimal) -> Decimal:
        if key in self:
            return self.number(key)
        self._assume(key, plain(default))
        return default

    def text_or(self, key: str, default: str | None) -> str:
        text = self._stated.get(key, default)
        if not isinstance(text, str) or not text.strip():
            raise Refused(f"Write {self._prefix}{key} as a text in quotes.")
        if key not in self:
            self._assume(key, text)
        return text

    def entries(self, key: str, keys: Sequence[str]) -> "list[_Entry]":
        rows = self._stated.get(key, ())
        if not isinstance(rows, list | tuple):
            raise Refused(f"Write {self._prefix}{key} as a JSON list: [...].")
        if key not in self:
            self._assume(key, "none")
        return [
            _Entry(row, f"{key}[{place}]", keys, self._assumed)
            for place, row in enumerate(rows)
        ]


def _number(value: object, path: str) -> Decimal:
    """A float is refused: it has lost digits before it came here."""
    if isinstance(value, bool) or not isinstance(value, Decimal | int | str):
        raise Refused(f"Write {path} as a number.")
    number = read_figure(value)
    if number is None:
        raise Refused(f"Write {path} as a plain number such as 0.5: {value!r}.")
    return number


def read_pot(data: Mapping[str, object]) -> tuple[Pot, dict[str, str]]:
    """A recipe and the defaults it took, as path -> value.

    Give it JSON parsed with Decimal for every number. Raises Refused, naming the key.
    """
    assumed: dict[str, str] = {}
    entry = _Entry(data, "", RECIPE_KEYS, assumed)
    if "oils" not in entry:
        raise Refused("Add oils: a list of objects with name, grams and sv.")
    koh_share = entry.number_or("koh_share", ONE)
    koh_used, naoh_used = koh_share > 0, koh_share < 1
    pot = Pot(
        oils=tuple(
            _oil(row, number)
            for number, row in enumerate(entry.entries("oils", OIL_KEYS), start=1)
        ),
        superfat=entry.number("superfat"),
        koh_share=koh_share,
        koh_purity=entry.number_or_none("koh_purity"),
        koh_carbonate=_carbonate(entry, "koh_carbonate", koh_used),
        naoh_purity=entry.number_or_none("naoh_purity"),
        naoh_carbonate=_carbonate(entry, "naoh_carbonate", naoh_used),
        acids=tuple(_acid(row) for row in entry.entries("acids", ACID_KEYS)),
        water=entry.number_or_none("water"),
        lye_strength=entry.number_or_none("lye_strength"),
        water_per_alkali=entry.number_or_none("water_per_alkali"),
        evaporated=entry.number_or("evaporated", ZERO),
    )
    return pot, assumed


def _carbonate(entry: _Entry, key: str, used: bool) -> Decimal:
    """Of an alkali that is not used nothing has to be assumed."""
    return entry.number_or(key, ZERO) if used else ZERO


def _oil(row: _Entry, number: int) -> Oil:
    kind = row.text_or("kind", "fat")
    sv = row.number("sv")
    return Oil(
        name=row.text_or("name", f"oil {number}"),
        grams=row.number("grams"),
        sv=sv,
        # A free fatty acid is nothing but acid: 0 would deny the water it forms.
        acid_value=row.number_or("acid_value", sv if kind == "acid" else ZERO),
        unsaponifiable=row.number_or("unsaponifiable", ZERO),
        kind=kind,
    )


def _acid(row: _Entry) -> Acid:
    return Acid(
        kind=row.text_or("kind", None),
        grams=row.number("grams"),
        purity=row.number("purity"),
    )


def report(result: Saponification, assumed: Mapping[str, str]) -> dict[str, object]:
    """The answer as JSON values: strings with six places, None where unknown."""
    figures: dict[str, object] = {
        name: _six_places(getattr(result, name)) for name in FIGURES
    }
    by_oil = {
        name: {
            field.name: _six_places(getattr(share, field.name))
            for field in fields(OilShare)
        }
        for name, share in result.by_oil.items()
    }
    return figures | {"by_oil": by_oil, "assumed": dict(assumed)}


def _six_places(value: Decimal | None) -> str | None:
    if value is None:
        return None
    with localcontext(EXACT):
        # Adding 0 turns a rounded -0 into 0.
        return f"{value.quantize(SIX_PLACES, rounding=ROUND_HALF_UP) + 0:f}"
