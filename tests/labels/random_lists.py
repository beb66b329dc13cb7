"""A random workshop whose lots have everything that a list asks about."""

from decimal import Decimal
from fractions import Fraction
from random import Random

from production.fragrance.actions import note_document
from production.lots.actions.lot_deeds import reweigh_lot
from production.models import ReferenceOil
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.mixtures import write_mixture
from tests import make
from tests.labels.list_oracle import MOLAR, Bought

# Names as the Commission's ingredient inventory has them; the last fat has its own.
FATS = {
    "OLI": ("olive oil", "Olea Europaea Fruit Oil", "Olivate"),
    "COC": ("coconut oil", "Cocos Nucifera Oil", "Cocoate"),
    "CAS": ("castor oil", "Ricinus Communis Seed Oil", "Castorate"),
    "RIC": ("rice fat", "Rice Fat", "Rice Fatate"),
}
SCENTS = ("Linalool", "Limonene", "Coumarin", "Citral")
MIXTURES = {
    "GUARD": ("guard", "preservative", ("Phenoxyethanol", "Ethylhexylglycerin")),
    "BLUE": ("blue drops", "colourant", ("CI 42090", "Glycerin")),
}


class Workshop:
    """Buys, cooks, blends, dilutes, scents, fills; ``bought`` by the code of a lot."""

    def __init__(self, seed):
        self.dice, self.bought, self.lots = Random(seed), {}, {}
        self._buy()
        self._cook_and_fill()

    def figure(self, low, high, places=4):
        step = Decimal(1).scaleb(-places)
        return Decimal(str(self.dice.uniform(low, high))).quantize(step)

    def _take(self, code, item, what, **facts):
        lot = make.lot(code, item=item, grams="20000", **facts)
        self.lots[code], self.bought[code] = lot, what
        return lot

    def _buy(self):
        for code, (name, inci, soap) in FATS.items():
            self._fat(code, name, inci, soap)
        for code, alkali, purity in (
            ("POT", "KOH", (0.86, 0.92)),
            ("LYE", "KOH", (0.44, 0.5)),
            ("SOD", "NaOH", (0.96, 0.99)),
        ):
            self._alkali(code, alkali, self.figure(*purity))
        water = make.item("water", category="water")
        self._take("TAP", water, Bought("water", {"Aqua": Fraction(1)}))
        citric = make.item("citric acid", category="acid", acid="citric")
        pure = (Reading("purity", Decimal(1), "stated"),)
        held = Bought("acid", {"Citric Acid": Fraction(1)})
        self._take("CIT", citric, held, readings=pure)
        self._scent("SC1", "kelp", "Parfum")
        self._scent("SC2", "tar", "Parfum")
        self._scent("LAV", "lavender", "Lavandula Angustifolia Oil")
        for code, (name, category, names) in MIXTURES.items():
            self._mixture(code, make.item(name, category=category), names)

    def _fat(self, code, name, inci, soap):
        facts = {"category": "oil", "oil": ReferenceOil.objects.get(key="olive-oil")}
        if code == "RIC":
            facts["own_inci"] = inci
            facts["own_potassium_soap"] = f"Potassium {soap}"
            facts["own_sodium_soap"] = f"Sodium {soap}"
        sv, acid = self.figure(180, 260, 2), self.figure(0, 4, 2)
        rest = self.figure(0, 0.02)
        readings = (
            Reading("saponification value", sv, "stated", confirmed=True),
            Reading("acid value", acid, "stated", confirmed=True),
            Reading("unsaponifiable", rest, "stated"),
        )
        what = Bought(
            "oil",
            {inci: Fraction(1)},
            f"Potassium {soap}",
            f"Sodium {soap}",
            Fraction(sv),
            Fraction(acid),
            Fraction(rest),
        )
        self._take(code, make.item(name, **facts), what, readings=readings)

    def _alkali(self, code, alkali, purity):
        carbonate = self.figure(0, 0.01)
        item = make.item(f"{alkali} {code}", category="alkali", alkali=alkali)
        readings = (
            Reading("purity", purity, "stated"),
            Reading("carbonate", carbonate, "stated"),
        )
        what = Bought(
            "alkali",
            {},
            alkali=alkali,
            purity=Fraction(purity),
            carbonate=Fraction(carbonate),
        )
        self._take(code, item, what, readings=readings)

    def _scent(self, code, name, inci):
        item = make.item(name, category="fragrance", own_inci=inci)
        held = {one: self.figure(0.0005, 0.1) for one in self.dice.sample(SCENTS, 3)}
        shares = {one: Fraction(share) for one, share in held.items()}
        what = Bought("fragrance", {inci: Fraction(1)}, allergens=shares)
        lot = self._take(code, item, what)
        note_document(lot=lot, edition="1", constituents=held, **make.act())

    def _mixture(self, code, item, names):
        share = self.figure(0.1, 0.9)
        parts = dict(zip(names, (share, 1 - share), strict=True))
        write_mixture(item=item, parts=parts)
        called = {name: Fraction(one) for name, one in parts.items()}
        self._take(code, item, Bought(item.category, called))

    def _cook_and_fill(self):
        pastes = [self._cook(f"PASTE-{number}") for number in (1, 2)]
        if self.dice.random() < 0.5:
            found = Decimal(pastes[0].movements.get(kind="made").amount) - 20
            reweigh_lot(lot=pastes[0], found=found, **make.act(3))
        water = (self.lots["TAP"], self.figure(300, 900, 1))
        uses = [*((paste, self.figure(250, 350, 1)) for paste in pastes), water]
        thin = self._made("dilution", "THIN", uses)
        scents = [self.lots["SC1"], self.lots["SC2"], self.lots["LAV"]]
        blend = self._pour("preparation", "BLEND", scents, 5, 60)
        finishing = [
            (thin, self.figure(600, 700, 1)),
            (blend, self.figure(0.5, 12, 1)),
            (self.lots["GUARD"], self.figure(1, 12, 1)),
            (self.lots["BLUE"], self.figure(0.1, 3, 1)),
        ]
        fine = self._made("finishing", "FINE", finishing)
        uses = [(fine, "500"), (make.bottles("BOT"), "2")]
        how = {"makes": "hand wash", "unit": "piece", "amount": "2", "on": make.day(4)}
        make.batch("filling", uses=uses, net_mass="245", code="FILL", **how)

    def _cook(self, code):
        fats = self.dice.sample(sorted(FATS), self.dice.randint(1, 3))
        uses = [(self.lots[fat], self.figure(100, 500, 1)) for fat in fats]
        need = sum(
            Fraction(grams) * self.bought[lot.code].sv / 1000 / MOLAR["KOH"]
            for lot, grams in uses
        )
        acid = self.figure(0.5, 5, 1)
        need = need * Fraction(self.figure(0.92, 0.995)) + Fraction(acid) * 3 / 192
        alkalis = self.dice.sample(("POT", "LYE", "SOD"), self.dice.randint(1, 2))
        for one in alkalis:
            kind = self.bought[one]
            grams = need / len(alkalis) * MOLAR[kind.alkali] / kind.purity
            uses.append(
                (
                    self.lots[one],
                    Decimal(round(float(grams), 1)).quantize(Decimal("0.1")),
                )
            )
        water = self.figure(300, 800, 1)
        uses += [(self.lots["TAP"], water), (self.lots["CIT"], acid)]
        steam = (water * self.figure(0, 0.4)).quantize(Decimal("0.1"))
        return self._made("cook", code, uses, steam)

    def _pour(self, stage, code, lots, low, high):
        uses = [(lot, self.figure(low, high, 1)) for lot in lots]
        return self._made(stage, code, uses)

    def _made(self, stage, code, uses, lost=None):
        amount = sum(grams for _, grams in uses)
        amount -= self.figure(0, 3, 1) if lost is None else lost
        day = make.day(2 if stage in ("cook", "preparation") else 4)
        how = {"makes": stage, "code": code, "on": day, "reason": "as it was"}
        return make.batch(stage, uses=uses, amount=amount, **how)
