"""The law of pieces for one batch: no bottle vanishes, and no box is used by nobody."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from production.quantities.domain.numbers import plain


@dataclass(frozen=True, slots=True)
class Pieces:
    """What went in of one item, counted; ``each`` is what the recipe takes for one.

    ``net_mass`` is of one piece, where it is known.
    """

    item: str
    used: Decimal
    packaging: bool = False
    each: Decimal | None = None
    net_mass: Decimal | None = None


def vanished(rows: Iterable[Pieces], made: Decimal, lost: Decimal) -> list[str]:
    """Goods that are in no set; ``lost`` are the grams of the losses that have a name.

    A broken bottle may stand among them with its contents. Two sorts of which neither
    is in every set may share the sets among them.
    """
    found: list[str] = []
    goods = [row for row in rows if not row.packaging]
    shared = not _together(goods, made) % made
    for row in goods:
        over = row.used % made
        if not over or (shared and row.used < made):
            continue
        mass = row.net_mass and over * row.net_mass
        if mass is not None and row.used > made and mass <= lost:
            lost -= mass
            continue
        found.append(
            f"{plain(row.used)} of {row.item} went in and {plain(made)} came out: "
            f"{_each(row.used, made)}. Write the right number; or take what broke out "
            "of it and discard it, with its reason."
        )
    return found


def _each(used: Decimal, made: Decimal) -> str:
    one = used // made
    if not one:
        return f"at least {plain(made)} are in them"
    left = used - one * made
    return f"{plain(one)} in each are {plain(one * made)}, and {plain(left)} vanished"


@dataclass(frozen=True, slots=True)
class Spoilt:
    """Packaging beyond what is on the pieces that were made."""

    item: str
    used: Decimal
    surplus: Decimal

    @property
    def says(self) -> str:
        return f"{plain(self.surplus)} of {plain(self.used)} {self.item}"


def spoilt(rows: Iterable[Pieces], made: Decimal) -> Iterator[Spoilt]:
    """What went in of packaging and is on nothing: torn, broken, or miscounted."""
    for row in rows:
        each = row.each or row.used // made
        if row.packaging and each and (over := row.used - each * made) > 0:
            yield Spoilt(row.item, row.used, over)


def short(rows: Iterable[Pieces], made: Decimal) -> list[Pieces]:
    """Packaging of which there is less than one for each piece.

    Two sorts of bottles may share the pieces among them; then they are one a piece.
    """
    few = [row for row in rows if row.packaging and row.used < made]
    return few if _together(few, made) % made else []


def _together(rows: Iterable[Pieces], made: Decimal) -> Decimal:
    """All of those that are in some of the pieces only."""
    return sum((row.used for row in rows if row.used < made), Decimal(0))
