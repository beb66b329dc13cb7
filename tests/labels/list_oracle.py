"""A second computation of every ingredient list, from entries and first principles.

It reads the entries of the book, and what the test itself bought; of the product's own
sums it uses none. Masses are fractions, so that nothing is rounded on the way. Atomic
weights: CIAAW (IUPAC), https://www.ciaaw.org. Three ester bonds give one glycerol, a
free acid gives water, alkali is shared by mole, and what is missing in a cook is steam.
A list is of a lot as it was made: what dried out later is in what it went into.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction

from production.models import Movement

HYDROGEN, CARBON, OXYGEN = Fraction("1.008"), Fraction("12.011"), Fraction("15.999")
SODIUM, POTASSIUM = Fraction("22.98977"), Fraction("39.0983")
WATER = 2 * HYDROGEN + OXYGEN
GLYCEROL = 3 * CARBON + 8 * HYDROGEN + 3 * OXYGEN
CITRIC = 6 * CARBON + 8 * HYDROGEN + 7 * OXYGEN
MOLAR = {"KOH": POTASSIUM + OXYGEN + HYDROGEN, "NaOH": SODIUM + OXYGEN + HYDROGEN}
METAL = {"KOH": "potassium", "NaOH": "sodium"}
HYDROXIDE = {"KOH": "Potassium Hydroxide", "NaOH": "Sodium Hydroxide"}


@dataclass(frozen=True)
class Bought:
    """What the test bought: its names, and what was read on its label."""

    role: str
    names: dict[str, Fraction]
    potassium: str = ""
    sodium: str = ""
    sv: Fraction = Fraction(0)
    acid_value: Fraction = Fraction(0)
    unsaponifiable: Fraction = Fraction(0)
    alkali: str = ""
    purity: Fraction = Fraction(1)
    carbonate: Fraction = Fraction(0)
    allergens: dict[str, Fraction] = field(default_factory=dict)


@dataclass
class Held:
    """Grams of a lot: what it weighs, what is in it, and what was weighed in for it."""

    grams: Fraction
    inside: dict
    added: dict

    def part(self, grams):
        factor = grams / self.grams
        return Held(
            grams,
            {what: one * factor for what, one in self.inside.items()},
            {code: one * factor for code, one in self.added.items()},
        )


def _as_bought(code, one, grams):
    if one.role == "alkali":
        carbonate = one.carbonate * grams
        inside = {
            ("alkali", one.alkali): one.purity * grams,
            ("carbonate", one.alkali): carbonate,
            ("water",): grams - one.purity * grams - carbonate,
        }
    else:
        kind = {"oil": "fat", "water": "water", "acid": "acid"}.get(
            one.role, "material"
        )
        inside = {(kind,) if kind in ("water", "acid") else (kind, code): grams}
    return Held(grams, inside, {code: grams})


class Oracle:
    """Every lot of the book by its code, followed entry by entry."""

    def __init__(self, bought):
        self.bought = bought
        self.lots, self.begun = {}, {}
        self.pots = defaultdict(lambda: Held(Fraction(0), defaultdict(Fraction), {}))
        rows = Movement.objects.standing().select_related("lot__item", "batch")
        for row in rows.order_by("on", "pk"):
            self._follow(row)

    def _follow(self, row):
        code, grams = row.lot.code, Fraction(row.amount)
        if row.lot.item.kind == "packaging":
            return
        if row.kind in ("received", "opening"):
            self.lots[code] = _as_bought(code, self.bought[code], grams)
            return
        if row.kind == "made":
            self.lots[code] = self._out_of(row)
            self.begun[code] = self.lots[code].part(self.lots[code].grams)
            return
        held = self.lots[code]
        if row.kind == "used":
            self._pour(row.batch_id, held.part(-grams))
            self.lots[code] = held.part(held.grams + grams)
        elif row.kind == "reweighed":
            held.inside[("water",)] += grams
            held.grams += grams
        else:
            self.lots[code] = held.part(held.grams + grams)

    def _pour(self, batch, poured):
        pot = self.pots[batch]
        pot.grams += poured.grams
        for what, grams in poured.inside.items():
            pot.inside[what] += grams
        for code, grams in poured.added.items():
            pot.added[code] = pot.added.get(code, Fraction(0)) + grams

    def _out_of(self, row):
        pot = self.pots[row.batch_id]
        inside = self._reacted(pot.inside)
        made = Fraction(row.amount)
        if row.lot.item.unit == "piece":
            made *= Fraction(row.lot.net_mass)
        if row.batch.stage == "cook":
            inside[("water",)] -= sum(inside.values()) - made
            assert inside[("water",)] >= 0
        whole = sum(inside.values())
        share = {what: grams * made / whole for what, grams in inside.items()}
        return Held(made, share, dict(pot.added))

    def _reacted(self, held):
        """Alkali takes the acid first, then every fat by the same part."""
        pot = defaultdict(Fraction, held)
        free = {one: pot[("alkali", one)] / MOLAR[one] for one in MOLAR}
        moles = sum(free.values())
        fats = {what: grams for what, grams in held.items() if what[0] == "fat"}
        acid = pot[("acid",)] / CITRIC * 3
        if not moles or not (fats or acid):
            return pot
        mix = {one: amount / moles for one, amount in free.items()}
        taken = min(acid, moles)
        pot[("acid",)] -= taken / 3 * CITRIC
        pot[("water",)] += taken * WATER
        for one, share in mix.items():
            # Each acid gives up its hydrogens for the metal.
            salt = CITRIC / 3 + MOLAR[one] - WATER
            pot[("salt", one)] += taken * share * salt
        left = moles - taken
        wanted = sum(grams * self._moles(what[1]) for what, grams in fats.items())
        part = min(Fraction(1), left / wanted) if wanted else Fraction(0)
        for what, grams in fats.items():
            self._saponify(pot, what[1], grams * part, mix)
        left -= wanted * part
        for one, share in mix.items():
            pot[("alkali", one)] = left * share * MOLAR[one]
        return pot

    def _moles(self, code):
        return self.bought[code].sv / 1000 / MOLAR["KOH"]

    def _saponify(self, pot, code, grams, mix):
        """By mass: what is left of fat and alkali, less the rest, is the soap."""
        fat = self.bought[code]
        moles = grams * self._moles(code)
        acid = grams * fat.acid_value / 1000 / MOLAR["KOH"]
        glycerol, water = (moles - acid) / 3 * GLYCEROL, acid * WATER
        rest = grams * fat.unsaponifiable
        acyl = grams - glycerol - water - rest
        for one, share in mix.items():
            pot[("soap", code, one)] += share * (acyl + moles * MOLAR[one])
        pot[("fat", code)] -= grams
        pot[("glycerol",)] += glycerol
        pot[("water",)] += water
        pot[("rest", code)] += rest

    def finished(self, code):
        """Percent of the product by name as the inventory has it."""
        held = self.begun[code]
        found = defaultdict(Fraction)
        for what, grams in held.inside.items():
            for name, share in self._called(what).items():
                found[name] += grams * share * 100 / held.grams
        return {name: share for name, share in found.items() if share}

    def _called(self, what):
        match what:
            case ("water",):
                return {"Aqua": 1}
            case ("glycerol",):
                return {"Glycerin": 1}
            case ("acid",):
                return {"Citric Acid": 1}
            case ("salt", "KOH"):
                return {"Potassium Citrate": 1}
            case ("salt", "NaOH"):
                return {"Sodium Citrate": 1}
            case ("alkali", one):
                return {HYDROXIDE[one]: 1}
            case ("carbonate", _):
                return {}
            case ("soap", code, one):
                return {getattr(self.bought[code], METAL[one]): 1}
            case (_, code):
                return self.bought[code].names

    def added(self, code):
        """Percent of all that was weighed in, by name."""
        held = self.begun[code]
        whole = sum(held.added.values())
        found = defaultdict(Fraction)
        for source, grams in held.added.items():
            one = self.bought[source]
            names = one.names
            if one.role == "alkali":
                names = {
                    HYDROXIDE[one.alkali]: one.purity,
                    "Aqua": 1 - one.purity - one.carbonate,
                }
            for name, share in names.items():
                found[name] += grams * share * 100 / whole
        return {name: share for name, share in found.items() if share}

    def allergens(self, code):
        """Percent of the finished product, and of what was weighed in, by name."""
        held = self.begun[code]
        whole = sum(held.added.values())
        product, weighed = defaultdict(Fraction), defaultdict(Fraction)
        for source, one in self.bought.items():
            for name, share in one.allergens.items():
                inside = held.inside.get(("material", source), Fraction(0))
                product[name] += inside * share * 100 / held.grams
                grams = held.added.get(source, Fraction(0))
                weighed[name] += grams * share * 100 / whole
        return product, weighed
