"""What a paste is worked out from: oils with their acids, and the alkali at hand."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from production.chemistry.domain.profile import AcidShare, itself
from production.chemistry.models import ReferenceComposition, ReferenceOil
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Fat, GoesIn, Line, Terms
from production.recipes.domain.scaling.goods import Material
from production.recipes.domain.scaling.stock_view import OfLot
from production.recipes.models.formulas import Version
from production.record.models.workshop import Workshop
from production.stock.models.readings import Measurement
from production.stock.reads.readings import best_of, read_of
from production.workshop.models.items import Item

WHAT = Measurement.What


# In the order of the fields of ``OfLot``.
CERTIFIED = (WHAT.SAPONIFICATION_VALUE, WHAT.ACID_VALUE, WHAT.UNSAPONIFIABLE)


def fats_of(items: Iterable[Item]) -> dict[int, Fat]:
    """The published values of oils, by the key of the item; one query."""
    oils = {item.oil_id: item.oil for item in items if item.oil_id}
    acids: dict[int, list[AcidShare]] = defaultdict(list)
    rows = ReferenceComposition.objects.filter(oil__in=oils).select_related("acid")
    for row in rows.order_by("acid__key"):
        shares = (row.percent_low, row.percent_typical, row.percent_high)
        low, typical, high = (
            None if share is None else share / 100 for share in shares
        )
        acids[row.oil_id].append(AcidShare(row.acid.key, low, typical, high))
    fats = {
        pk: _fat(oil, acids[pk] or itself(oil.kind, oil.origin))
        for pk, oil in oils.items()
    }
    return {item.pk: fats[item.oil_id] for item in items if item.oil_id}


def _fat(oil: ReferenceOil, acids: Sequence[AcidShare]) -> Fat:
    return Fat(
        sv=oil.sv,
        sv_low=oil.sv_low,
        sv_high=oil.sv_high,
        kind=oil.kind,
        iodine_low=oil.iodine_low,
        iodine_high=oil.iodine_high,
        acids=tuple(acids),
    )


def purities_of(items: Iterable[Item]) -> dict[int, Decimal]:
    """The latest purity in the book, by the key of the item; one query."""
    of_it = {"lot__item__in": [item.pk for item in items], "what": WHAT.PURITY}
    rows = read_of(**of_it, basis__in=Measurement.VALUES)
    return {row.lot.item_id: row.value for row in rows}


def material(item: Item) -> Material:
    """A card as a plain value."""
    return Material(
        key=item.pk,
        name=item.name,
        unit=str(item.unit),
        kind=str(item.kind),
        category=str(item.category),
        alkali=item.alkali,
        acid=item.acid,
        on_tap=item.on_tap,
        most=item.most,
        ph_low=item.ph_low,
        ph_high=item.ph_high,
    )


@dataclass(frozen=True, slots=True)
class CookFacts:
    """What is published of oils, and the purities of acids, by the keys of items."""

    fats: Mapping[int, Fat] = field(default_factory=dict)
    purities: Mapping[int, Decimal] = field(default_factory=dict)

    def lines(self, parts: Iterable[tuple[Item, Decimal, GoesIn]]) -> list[Line]:
        """Lines of a cook from (item, share of the oils, where it goes in)."""
        return [self._line(*part) for part in parts]

    def _line(self, item: Item, share: Decimal, goes_in: GoesIn) -> Line:
        if item.is_alkali:
            raise Refused(
                f"Leave {item} out of the lines: the alkali is worked out from the "
                "oils and from the purity of its lot."
            )
        if item.category == Item.Category.OIL and goes_in:
            raise Refused(f"{item} is an oil: it goes in with the rest.")
        fat = self.fats.get(item.pk) if item.category == Item.Category.OIL else None
        return Line(
            item.name,
            share,
            goes_in,
            fat,
            item.acid,
            self.purities.get(item.pk),
            material(item),
        )


def of_cooks(items: Sequence[Item]) -> CookFacts:
    """Of some items that may go into a cook; two queries."""
    return CookFacts(fats_of(items), purities_of(items))


def lines_for(parts: Sequence[tuple[Item, Decimal, GoesIn]]) -> list[Line]:
    """Lines from (item, share of the oils, where it goes in); two queries."""
    return of_cooks([item for item, _, _ in parts]).lines(parts)


def own_values(codes: Sequence[str]) -> dict[str, OfLot]:
    """What a lot's certificate says: measured before stated, the latest of each."""
    known: dict[str, dict[tuple[str, str], Decimal]] = defaultdict(dict)
    for row in read_of(lot__code__in=codes, what__in=CERTIFIED):
        known[row.lot.code][row.what, row.basis] = row.value
    values = {
        code: [best_of(one, what, Measurement.VALUES)[0] for what in CERTIFIED]
        for code, one in known.items()
    }
    # A floor alone says nothing of the value.
    return {
        code: OfLot(*one) for code, one in values.items() if one.count(None) < len(one)
    }


def terms_of(version: Version) -> Terms:
    """How a version sets the lye."""
    return Terms(
        superfat=version.superfat,
        koh_share=version.koh_share,
        lye_excess=version.lye_excess,
        water_per_alkali=version.water_per_alkali,
        lye_strength=version.lye_strength,
        loss=version.loss,
    )


def balance_step() -> Decimal:
    """The smallest step of the workshop's balance in grams; 0 where nobody said it."""
    step = Workshop.objects.values_list("balance_step", flat=True).first()
    return step or Decimal(0)
