"""Parts of a product as a list wants them, and the list that is made of them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal, get_args

from labels.domain.allergens import Tested, figure
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused

Role = Literal["ingredient", "colourant", "fragrance", "allergen"]
ROLES: tuple[str, ...] = get_args(Role)

WHOLE = Decimal("100")

Group = Literal["by weight", "free", "allergen", "colourant", "closing"]


@dataclass(frozen=True, slots=True)
class Part:
    """A named share of the product, in percent by weight.

    An ``allergen`` is inside a fragrance or oil that is listed too: it adds no mass.
    ``source`` is the lot it came from; "" where it is not told, or where it cannot be
    told apart which of the lots ``among`` it came from.
    Raises Refused for a share that is no number from 0 to 100, and an unknown role.
    """

    inci: str
    percent: Decimal
    role: Role = "ingredient"
    source: str = field(default="", compare=False)
    among: tuple[str, ...] = field(default=(), compare=False)

    def __post_init__(self) -> None:
        if not self.inci.strip():
            raise Refused("Give every part its INCI name: one has none.")
        if not self.percent.is_finite() or not 0 <= self.percent <= WHOLE:
            raise Refused(
                f"Give {self.inci} a share from 0 to 100 %: it is {self.percent}."
            )
        if self.role not in ROLES:
            raise Refused(
                f"Give {self.inci} one of the roles {', '.join(ROLES)}: "
                f"{self.role!r} is none."
            )


@dataclass(frozen=True, slots=True)
class IngredientLine:
    """One printed name. Shares in percent by weight.

    ``percent`` is its share in the basis of the list, ``in_product`` that of the
    finished product, None where that is not known; ``place`` says why it stands here,
    ``naming`` why under this name; ``sources`` is percent of the basis by lot code,
    ``among`` the lots that cannot be told apart in it.
    """

    name: str
    percent: Decimal
    in_product: Decimal | None
    group: Group
    place: str
    naming: str
    sources: Mapping[str, Decimal] = field(default_factory=dict)
    among: tuple[str, ...] = ()

    @property
    def share(self) -> str:
        """Percent of the basis, as it is written."""
        return _written(self.percent)

    @property
    def share_of_product(self) -> str:
        """Percent of the finished product as it is written; "" where not known."""
        return "" if self.in_product is None else _written(self.in_product)

    @property
    def lots(self) -> list[tuple[str, str]]:
        """Lots and percent of the basis as written, the heaviest first."""
        ordered = sorted(self.sources.items(), key=lambda one: (-one[1], one[0]))
        return [(code, _written(share)) for code, share in ordered]


@dataclass(frozen=True, slots=True)
class IngredientList:
    """Names in the order they are printed, and what a person should know of them.

    ``lacking`` says why the list cannot be printed clean; ``tested`` is each allergen
    that was looked at.
    """

    ingredients: tuple[str, ...]
    notes: tuple[str, ...]
    lines: tuple[IngredientLine, ...] = ()
    tested: tuple[Tested, ...] = ()
    lacking: tuple[str, ...] = ()


def _written(share: Decimal) -> str:
    """Percent to two places, a small one to as many as it needs."""
    return plain(round(share, 2)) if share >= 1 else figure(share)
