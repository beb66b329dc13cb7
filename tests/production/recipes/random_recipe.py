"""A recipe of a paste drawn at random, with the tubs and lots it is cooked from.

Plain figures first, so that a sum that knows nothing of the program can be held
beside; then written through the deeds. The oils are published ones; shares, losses and
lots are invented.
"""

from dataclasses import dataclass, field, replace
from decimal import Decimal as D

from production.models import Item, ReferenceOil, Version
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.cards import set_up_workshop
from tests import make

# Saponification values, mg KOH per g, lowest and highest: Codex CXS 210-1999, Table 2
# (coconut, babassu, safflower high oleic), CXS 33-1981 (olive), BP 1993 (castor);
# acid values of oleic and purified stearic acid: USP-NF.
FATS = {
    "olive-oil": (184, 196),
    "coconut-oil": (248, 265),
    "babassu-oil": (245, 256),
    "safflower-seed-oil-high-oleic": (186, 194),
    "castor-oil": (176, 187),
}
FATTY_ACIDS = {"oleic-acid": (196, 204), "stearic-acid-purified": (195, 200)}
ACIDS = ("citric", "citric monohydrate", "lactic", "acetic")
PLENTY = D(900000)


@dataclass(frozen=True)
class OilLot:
    """A lot on the shelf; mg KOH per g, a fraction of unsaponifiable, None not said."""

    grams: D = PLENTY
    sv: D | None = None
    acid_value: D | None = None
    unsaponifiable: D | None = None


@dataclass(frozen=True)
class OilLine:
    key: str
    share: D
    lots: tuple[OilLot, ...] = (OilLot(),)


@dataclass(frozen=True)
class Tub:
    purity: D
    carbonate: D = D(0)
    basis: str = "stated"


@dataclass(frozen=True)
class Beside:
    """What is no oil: a share of the oils, and of an acid its kind and purity."""

    name: str
    category: str
    share: D
    goes_in: str = ""
    acid: str = ""
    purity: D | None = None


@dataclass(frozen=True)
class Drawn:
    """One recipe and its day. Of ratio, strength and water one is given.

    ``loss`` is the recipe's; ``learned`` what the one batch before lost; ``typed`` what
    a person expects this time. ``step`` is the balance's; ``oils`` grams in all. The
    paste is diluted to ``target``, with ``thinner``, a share of what is diluted.
    ``read`` is a soap content that was measured of the paste.
    """

    lines: tuple[OilLine, ...]
    superfat: D = D("0.03")
    koh_share: D = D(1)
    koh: Tub = Tub(D("0.9"))
    naoh: Tub = Tub(D("0.98"))
    ratio: D | None = None
    strength: D | None = None
    water: D | None = None
    beside: tuple[Beside, ...] = ()
    loss: D | None = D("0.02")
    learned: D | None = None
    typed: D | None = None
    step: D = D(0)
    oils: D = D(20000)
    target: D = D("0.2")
    thinner: D | None = None
    read: D | None = None

    @property
    def expects(self) -> D | None:
        """The loss that a plan goes by: typed, else learned, else the recipe's."""
        found = (self.typed, self.learned, self.loss)
        return next((loss for loss in found if loss is not None), None)

    @property
    def floor(self) -> bool:
        """Whether of a tub that it takes only "min. so much" is known."""
        used = [self.koh] * (self.koh_share > 0) + [self.naoh] * (self.koh_share < 1)
        return any(tub.basis == "minimum" for tub in used)


PLAIN = Drawn(lines=(OilLine("olive-oil", D(1)),), ratio=D("2.2"))


def draw(dice) -> Drawn:
    """Choices read from plain numbers: all zeros are one of the plainest recipes."""
    lines = _oils(dice)
    beside = [*_acid(dice), *_other_liquid(dice), *_late(dice)]
    koh_share = dice.one((D(1), D(1), D("0.95"), D("0.6"), D(0)))
    way = dice.one(("ratio", "ratio", "strength", "line"))
    water = {
        "ratio": {"ratio": D(140 + dice.roll(160)) / 100},
        "strength": {"strength": D(22 + dice.roll(14)) / 100},
        "line": {"water": D(25 + dice.roll(30)) / 100},
    }[way]
    superfat = D(dice.roll(80)) / 1000 if dice.roll(6) else -D(1 + dice.roll(40)) / 1000
    return Drawn(
        lines=lines,
        superfat=superfat,
        koh_share=koh_share,
        koh=_tub(dice, 850, 920),
        naoh=_tub(dice, 960, 990),
        beside=tuple(beside),
        loss=None if dice.chance(6) else D(dice.roll(60)) / 1000,
        typed=D(dice.roll(60)) / 1000 if dice.chance(5) else None,
        step=dice.one((D(0), D(0), D("0.01"), D("0.1"), D(1))),
        oils=D(10000 + dice.roll(30000)) + D(dice.roll(1000)) / 1000,
        target=D(dice.one((160, 200, 216))) / 1000,
        **water,
    )


def _oils(dice) -> tuple[OilLine, ...]:
    keys = list(dict.fromkeys(dice.one(FATS) for _ in range(1 + dice.roll(3))))
    if dice.chance(4):
        keys.append(dice.one(FATTY_ACIDS))
    shares, left = [], 100
    for place in range(len(keys) - 1, 0, -1):
        shares.append(1 + dice.roll(max((left - place) // 2, 1)))
        left -= shares[-1]
    shares = [D(share) / 100 for share in (left, *shares)]
    return tuple(
        OilLine(key, share, _lots(dice, key))
        for key, share in zip(keys, shares, strict=True)
    )


def _lots(dice, key) -> tuple[OilLot, ...]:
    """One lot, or a small one that runs out before a large one."""
    sizes = (PLENTY,) if dice.roll(4) else (D(1100 + dice.roll(3000)), PLENTY)
    return tuple(_certified(dice, key, size) for size in sizes)


def _certified(dice, key, size) -> OilLot:
    low, high = (FATS | FATTY_ACIDS)[key]
    if not dice.chance(3):
        return OilLot(size)
    sv = low + D(dice.roll(10 * (high - low) + 1)) / 10
    lot = OilLot(size, sv)
    if key in FATS and dice.chance(2):
        lot = replace(lot, acid_value=D(dice.roll(40)) / 10)
    if key in FATS and dice.chance(3):
        lot = replace(lot, unsaponifiable=D(dice.roll(15)) / 1000)
    return lot


def _acid(dice) -> list[Beside]:
    if not dice.chance(4):
        return []
    kind = dice.one(ACIDS)
    purity = D(80 + dice.roll(21)) / 100
    goes_in = dice.one(("lye", "lye", "late"))
    share = D(1 + dice.roll(20)) / 1000
    return [Beside(f"{kind} acid", "acid", share, goes_in, kind, purity)]


def _other_liquid(dice) -> list[Beside]:
    if not dice.chance(4):
        return []
    return [Beside("glycerin", "additive", D(1 + dice.roll(20)) / 100, "lye")]


def _late(dice) -> list[Beside]:
    found = []
    if dice.chance(4):
        found.append(Beside("scent", "fragrance", D(1 + dice.roll(30)) / 1000, "late"))
    if dice.chance(5):
        found.append(Beside("salt", "salt", D(1 + dice.roll(30)) / 1000))
    return found


def _tub(dice, low, high) -> Tub:
    purity = D(low + dice.roll(high - low)) / 1000
    carbonate = D(dice.roll(20)) / 1000 if dice.chance(3) else D(0)
    return Tub(purity, carbonate, dice.one(("stated", "measured", "minimum")))


@dataclass(frozen=True)
class Written:
    """The rows of a recipe: its version, a dilution of its paste, and its tubs."""

    drawn: Drawn
    version: Version
    dilution: Version
    paste: Item
    tubs: dict[str, str]
    items: dict[str, Item]
    svs: dict[str, D] = field(default_factory=dict)


def write(drawn: Drawn, mark: str = "") -> Written:
    """Bring in what it is cooked from, and write the recipe; ``mark`` tells several
    in one book apart."""
    set_up_workshop(name="Wrackline Soap Works", balance_step=drawn.step)
    tap = make.item("tap water", category="water", on_tap=True, tap_price=D("1.5"))
    items, svs = {"water": tap}, {}
    lines = []
    for place, line in enumerate(drawn.lines):
        published = ReferenceOil.objects.get(key=line.key)
        name = f"{line.key}{mark}"
        items[name] = make.item(name, category="oil", oil=published)
        svs[name] = published.sv
        for number, lot in enumerate(line.lots):
            _oil_lot(items[name], lot, f"OIL{mark}-{place}{number}")
        lines.append(NewVersionLine(items[name], share=line.share))
    lines += [_beside(one, items, mark) for one in drawn.beside]
    if drawn.water is not None:
        lines.append(NewVersionLine(tap, share=drawn.water))
    paste = make.item(f"paste{mark}", kind="made")
    version = write_version(
        name=f"cook{mark}",
        stage="cook",
        makes=paste,
        lines=lines,
        superfat=drawn.superfat,
        lye_excess=drawn.superfat < 0,
        koh_share=drawn.koh_share,
        water_per_alkali=drawn.ratio,
        lye_strength=drawn.strength,
        loss=drawn.loss,
        **make.act(2),
    )
    thin = [NewVersionLine(paste, share=D("0.3"))]
    if drawn.thinner is not None:
        items["thinner"] = make.item(f"thinner{mark}", category="additive")
        make.lot(f"THIN{mark}", grams=str(PLENTY), item=items["thinner"])
        thin.append(NewVersionLine(items["thinner"], share=drawn.thinner))
    dilution = write_version(
        name=f"dilution{mark}",
        stage="dilution",
        makes=make.item(f"diluted{mark}", kind="made"),
        lines=thin,
        target_soap=drawn.target,
        loss=D(0),
        **make.act(2),
    )
    tubs = {
        alkali: _tub_lot(alkali, tub, mark)
        for alkali, tub in (("KOH", drawn.koh), ("NaOH", drawn.naoh))
        if (drawn.koh_share > 0 if alkali == "KOH" else drawn.koh_share < 1)
    }
    return Written(drawn, version, dilution, paste, tubs, items, svs)


def _oil_lot(item, lot, code):
    values = {
        "saponification value": lot.sv,
        "acid value": lot.acid_value,
        "unsaponifiable": lot.unsaponifiable,
    }
    readings = tuple(
        Reading(what, value, "stated", confirmed=True)
        for what, value in values.items()
        if value is not None
    )
    make.lot(code, grams=str(lot.grams), item=item, readings=readings)


def _beside(one, items, mark):
    name = f"{one.name}{mark}"
    item = make.item(name, category=one.category, acid=one.acid)
    items[name] = item
    readings = ()
    if one.purity is not None:
        readings = (Reading("purity", one.purity, "stated", confirmed=True),)
    make.lot(
        f"{one.name.upper()[:6].strip()}{mark}",
        grams=str(PLENTY),
        item=item,
        readings=readings,
    )
    return NewVersionLine(item, share=one.share, goes_in=one.goes_in)


def _tub_lot(alkali, tub, mark):
    names = {"KOH": "potassium hydroxide", "NaOH": "sodium hydroxide"}
    item = make.item(names[alkali], category="alkali", alkali=alkali)
    readings = [Reading("purity", tub.purity, tub.basis, confirmed=True)]
    if tub.carbonate:
        readings.append(Reading("carbonate", tub.carbonate, "stated", confirmed=True))
    code = f"{alkali}{mark}-1"
    make.lot(code, grams=str(PLENTY), item=item, readings=tuple(readings))
    return code
