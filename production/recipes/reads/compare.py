"""Two versions side by side: lines, terms, alkali, and what the oils are like."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from production.chemistry.domain.pot import alkalis_used
from production.quantities.domain.refusal import Refused
from production.recipes.models.formulas import Version, VersionLine
from production.recipes.reads.planning import recipes_alone
from production.recipes.reads.tubs import WhichTub, lyes_for
from production.stock.models.batches import Stage
from production.stock.models.lots import Lot


@dataclass(frozen=True, slots=True)
class Pair:
    """One row: what it is, and its figure on either side; None is not there."""

    name: str
    a: Decimal | None
    b: Decimal | None
    unit: str = "share"

    @property
    def difference(self) -> Decimal | None:
        """From the first to the second; None where one side does not say."""
        if self.a is None or self.b is None:
            return None
        return self.b - self.a

    @property
    def differs(self) -> bool:
        return self.a != self.b


@dataclass(frozen=True, slots=True)
class Comparison:
    """Rows under three heads; ``missing`` says why a paste was not worked out."""

    lines: tuple[Pair, ...]
    terms: tuple[Pair, ...]
    figures: tuple[Pair, ...]
    missing: str = ""
    tubs: tuple[tuple[str, str, str], ...] = ()


def compare(a: Version, b: Version, chosen: Mapping[str, Lot]) -> Comparison:
    """Line by line; a paste is worked out for 1,000 g of oils with the tub chosen, or
    with any where they are all alike."""
    rows = VersionLine.objects.filter(version__in=[a, b]).select_related("item__oil")
    by_version: dict[int, list[VersionLine]] = {a.pk: [], b.pk: []}
    for row in rows.order_by("position"):
        by_version[row.version_id].append(row)
    sides = (by_version[a.pk], by_version[b.pk])
    lines, terms = _lines(*sides), _terms(a, b)
    try:
        return Comparison(lines, terms, _figures(a, b, chosen))
    except Refused as fault:
        tubs = tuple(fault.tubs) if isinstance(fault, WhichTub) else ()
        return Comparison(lines, terms, (), str(fault), tubs)


def _lines(a: Sequence[VersionLine], b: Sequence[VersionLine]) -> tuple[Pair, ...]:
    sides = [{row.item: row for row in side} for side in (a, b)]
    return tuple(
        Pair(
            item.name,
            _amount(sides[0].get(item)),
            _amount(sides[1].get(item)),
            _unit(sides, item),
        )
        for item in dict.fromkeys([*sides[0], *sides[1]])
    )


def _amount(row: VersionLine | None) -> Decimal | None:
    if row is None:
        return None
    return row.share if row.share is not None else row.each


def _unit(sides: list[dict], item: object) -> str:
    row = sides[0].get(item) or sides[1][item]
    return "share" if row.share is not None else row.item.unit


def _terms(a: Version, b: Version) -> tuple[Pair, ...]:
    words = {
        "superfat": ("Superfat (lye discount)", "share"),
        "koh_share": ("Potassium share of the soap", "share"),
        "water_per_alkali": ("Water to 1 g of alkali", "g"),
        "lye_strength": ("Strength of the lye", "share"),
        "target_soap": ("Wanted soap content", "share"),
        "loss": ("Expected loss", "share"),
        "rest_days": ("Rest", "days"),
        "shelf_days": ("Keeps", "days"),
    }
    cooks = Stage.COOK in (a.formula.stage, b.formula.stage)
    pairs = (
        Pair(name, _number(getattr(a, term)), _number(getattr(b, term)), unit)
        for term, (name, unit) in words.items()
        if cooks or term != "koh_share"
    )
    return tuple(pair for pair in pairs if (pair.a, pair.b) != (None, None))


def _number(value: Decimal | int | None) -> Decimal | None:
    return None if value is None else Decimal(value)


def _figures(a: Version, b: Version, chosen: Mapping[str, Lot]) -> tuple[Pair, ...]:
    if (a.formula.stage, b.formula.stage) != (Stage.COOK, Stage.COOK):
        return ()
    used = {*alkalis_used(a.koh_share), *alkalis_used(b.koh_share)}
    lyes = lyes_for(used, chosen)
    left, right = (row.cooked for row in recipes_alone([a, b], lyes))
    assert left is not None
    assert right is not None
    first, second = left.result, right.result
    likely = left.superfat.likely, right.superfat.likely
    groups = right.profile.groups
    return (
        Pair("Potassium hydroxide", first.koh_weighed, second.koh_weighed, "g"),
        Pair("Sodium hydroxide", first.naoh_weighed, second.naoh_weighed, "g"),
        Pair("Lye water", first.lye_water, second.lye_water, "g"),
        Pair("Strength of the lye", left.lye_strength, right.lye_strength),
        Pair("Paste", left.paste, right.paste, "g"),
        Pair("Soap content of the paste", left.soap_content, right.soap_content),
        Pair("Glycerin formed", first.glycerol, second.glycerol, "g"),
        Pair("Superfat, likely from", likely[0].low, likely[1].low),
        Pair("Superfat, likely to", likely[0].high, likely[1].high),
        *(
            Pair(one.name.capitalize(), one.typical, groups[key].typical)
            for key, one in left.profile.groups.items()
        ),
        Pair(
            "Iodine value",
            left.profile.iodine_computed,
            right.profile.iodine_computed,
            "g per 100 g",
        ),
    )
