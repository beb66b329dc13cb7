"""A random past of a workshop: steps of plain numbers, played through the deeds.

Many steps are refused, as they should be; a refusal must leave nothing behind.
"""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal

from hypothesis import strategies as st

from production.buying.actions.suppliers import ensure_supplier
from production.models import Lot
from production.quantities.domain.refusal import Refused
from production.selling.actions.customers import ensure_customer
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.production.random_workshop.buying import Buying
from tests.production.random_workshop.dice import Dice, Nothing, digest, rounded
from tests.production.random_workshop.leaving import Leaving
from tests.production.random_workshop.making import Making
from tests.production.random_workshop.mending import Mending
from tests.production.random_workshop.recipes import Recipes

FIRST = date(2026, 1, 5)
MATERIALS = (
    ("rapeseed oil", "oil"),
    ("coconut oil", "oil"),
    ("potassium hydroxide", "alkali"),
    ("sea salt", "salt"),
    ("lavender oil", "fragrance"),
)
PIECES = ("bottle 250", "cap 24")
MADE = ("paste", "diluted soap", "finished soap", "hand wash", "gift set")
PLACES = ("workshop", "stall crate", "corner shop")


class RandomWorkshop(Buying, Making, Recipes, Leaving, Mending):
    """Plays steps; ``done`` and ``refused`` count how they ended, by verb."""

    def __init__(self):
        self.by = make.owner()
        self.today = FIRST
        self.done, self.refused = Counter(), Counter()
        for name, category in MATERIALS:
            make.item(name, category=category)
        for name in PIECES:
            make.item(name, kind="packaging", unit="piece")
        for name in MADE:
            unit = "piece" if name in MADE[3:] else "g"
            make.item(name, kind="made", unit=unit)
        make.item("tap water", category="water", on_tap=True, tap_price=Decimal("1.5"))
        self.places = [ensure_place(name) for name in PLACES]
        self.supplier = ensure_supplier("Northmere Oils")
        self.customers = [ensure_customer(name) for name in ("Ada", "Bo")]

    def play(self, steps):
        for verb, numbers in steps:
            before, says = digest(), ""
            try:
                VERBS[verb](self, Dice(numbers))
            except Nothing:
                continue
            except Refused as fault:
                says = str(fault)
                self.refused[verb] += 1
            else:
                self.done[verb] += 1
                continue
            assert says.endswith("."), f"{verb}: {says}"
            assert digest() == before, f"{verb} was refused and wrote: {says}"
        return self

    def when(self, dice, reason=True):
        """Who, and when: mostly today, now and then dated back; time goes on."""
        self.today += timedelta(days=dice.roll(2))
        back = dice.roll(9) if dice.chance(4) else 0
        why = "it was so" if reason and not dice.chance(5) else ""
        return {"on": self.today - timedelta(days=back), "by": self.by, "reason": why}

    def lot(self, dice, **facts):
        """Any lot, though mostly one that has something left."""
        lots = Lot.objects.filter(**facts).order_by("pk").with_on_hand()
        if not dice.chance(8):
            lots = lots.filter(on_hand__gt=0)
        return dice.one(lots.select_related("item", "batch"))

    def amount(self, dice, lot, most=None):
        """Some of it, all of it, or more than there is."""
        most = lot.on_hand if most is None else most
        share = Decimal(dice.one((1, 2, 3, 4, 5, 9, 11))) / 10
        if dice.chance(9):
            return most
        return rounded(lot.item, most * share + (0 if dice.chance(2) else dice.roll(9)))

    def place(self, dice):
        return None if dice.roll(4) else dice.one(self.places)


VERBS = {
    "buy": RandomWorkshop.buy,
    "price later": RandomWorkshop.price_later,
    "late extra": RandomWorkshop.late_extra,
    "open stock": RandomWorkshop.open_stock,
    "run": RandomWorkshop.run,
    "cook lye-heavy": RandomWorkshop.cook_lye_heavy,
    "start": RandomWorkshop.start,
    "use": RandomWorkshop.use,
    "finish": RandomWorkshop.finish,
    "lose": RandomWorkshop.lose,
    "call otherwise": RandomWorkshop.call_otherwise,
    "craft day": RandomWorkshop.craft_day,
    "open a pack": RandomWorkshop.open_a_pack,
    "pack later": RandomWorkshop.pack_later,
    "note": RandomWorkshop.note,
    "measure": RandomWorkshop.measure,
    "write a recipe": RandomWorkshop.write_recipe,
    "note a document": RandomWorkshop.note_document,
    "sell": RandomWorkshop.sell,
    "take back": RandomWorkshop.take_back,
    "take empties": RandomWorkshop.take_empties,
    "wash": RandomWorkshop.wash,
    "give": RandomWorkshop.give,
    "count": RandomWorkshop.count,
    "count a place": RandomWorkshop.count_a_place,
    "reweigh": RandomWorkshop.reweigh,
    "discard": RandomWorkshop.discard,
    "move": RandomWorkshop.move,
    "status": RandomWorkshop.status,
    "reverse": RandomWorkshop.reverse,
    "undo": RandomWorkshop.undo,
    "correct": RandomWorkshop.correct,
    "close": RandomWorkshop.close,
}
OFTEN = ["buy"] * 2 + ["run"] * 5 + ["use", "finish", "sell", "status"] * 2 + ["undo"]


def steps(least=20, most=50):
    """Lists of steps: a verb and the numbers that its choices are read from."""
    numbers = st.lists(st.integers(0, 10**6), min_size=4, max_size=6)
    verb = st.sampled_from([*VERBS, *OFTEN])
    start = st.lists(st.tuples(st.just("buy"), numbers), min_size=2, max_size=4)
    rest = st.lists(st.tuples(verb, numbers), min_size=least, max_size=most)
    return st.builds(lambda first, then: first + then, start, rest)
