"""One oil of a paste in another's place, with something held as it was."""

from dataclasses import dataclass
from decimal import Decimal

from production.chemistry.domain.profile import OilProfile, profile
from production.chemistry.domain.swap import ALKALI, SHARE, Part, swap
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Fat
from production.recipes.models.formulas import Version
from production.recipes.reads.cooking import fats_of
from production.workshop.models.items import Item


@dataclass(frozen=True, slots=True)
class Swapped:
    """A line before and after; None is not in it. Oils add up to 1 on both sides."""

    item: Item
    before: Decimal | None
    after: Decimal | None
    goes_in: str = ""

    @property
    def differs(self) -> bool:
        return self.before != self.after


def swapped(version: Version, out: Item, into: Item, hold: str) -> list[Swapped]:
    """The lines of a version with one oil exchanged; three queries.

    Refused where the figure cannot be held, or is not known of an oil.
    """
    lines = list(version.lines.select_related("item__oil"))
    oils = [line for line in lines if line.item.category == Item.Category.OIL]
    if len({line.item_id for line in lines}) < len(lines):
        raise Refused(
            f"{version} names an item in two lines. Write a version with one line for "
            "each, then exchange."
        )
    fats = fats_of([line.item for line in oils] + [into])
    parts = [
        Part(line.item.name, line.share, _figure(line.item, fats, hold))
        for line in oils
    ]
    new = Part(into.name, Decimal(0), _figure(into, fats, hold))
    after = {part.name: part.share for part in swap(parts, out.name, new, hold)}
    items = {line.item.name: line.item for line in oils} | {into.name: into}
    before = {line.item.name: line.share for line in oils}
    rows = [
        Swapped(item, before.get(name), after.get(name)) for name, item in items.items()
    ]
    beside = [line for line in lines if line not in oils]
    return rows + [
        Swapped(line.item, line.share, line.share, line.goes_in) for line in beside
    ]


def _figure(item: Item, fats: dict[int, Fat], hold: str) -> Decimal | None:
    """What is held of one oil; None where the tables do not say."""
    fat = fats.get(item.pk)
    if fat is None:
        raise Refused(
            f"{item} has no saponification value: choose its published oil on its card."
        )
    if hold == SHARE:
        return None
    if hold == ALKALI:
        return fat.sv
    alone = profile([OilProfile(item.name, Decimal(1), fat.acids, kind=fat.kind)])
    if not alone.known:
        return None
    if hold == "iodine_value":
        return alone.iodine_computed
    return alone.groups[hold].typical
