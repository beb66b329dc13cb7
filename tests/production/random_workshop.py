"""A random past of a workshop: steps of plain numbers, played through the deeds.

Many steps are refused, as they should be; a refusal must leave nothing behind.
"""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal

from django.apps import apps
from django.db import connection
from hypothesis import strategies as st

from production import actions
from production.domain.refusal import Refused
from production.models import (
    Batch,
    Deed,
    Item,
    Lot,
    Movement,
    Purchase,
    PurchaseLine,
    SaleLine,
    Version,
)
from tests import make

FIRST = date(2026, 1, 5)
STAGES = ("cook", "preparation", "dilution", "finishing", "filling", "packing")
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
WHY = ("sample", "tester", "gift", "own use", "retained")


class Nothing(Exception):
    """There is nothing yet that this step could be done with."""


class Dice:
    """The numbers of one step, read one after another, and round again."""

    def __init__(self, numbers):
        self.numbers, self.at = numbers, 0

    def roll(self, sides):
        self.at += 1
        return self.numbers[self.at % len(self.numbers)] // self.at % sides

    def one(self, things):
        things = list(things)
        if not things:
            raise Nothing
        return things[self.roll(len(things))]

    def chance(self, of):
        return self.roll(of) == 0

    def cents(self, most):
        return Decimal(self.roll(most)) / 100


class RandomWorkshop:
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
        self.places = [actions.ensure_place(name) for name in PLACES]
        self.supplier = actions.ensure_supplier("Northmere Oils")
        self.customers = [actions.ensure_customer(name) for name in ("Ada", "Bo")]

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

    # buying

    def buy(self, dice):
        lines = [self.line(dice) for _ in range(1 + dice.roll(3))]
        if dice.chance(4):
            lines.append(actions.NewLine(None, price=Decimal(3), text="a calendar"))
        actions.record_purchase(
            supplier=self.supplier,
            lines=lines,
            extra_costs=[extra(dice) for _ in range(dice.roll(3))],
            rate=Decimal("1.0837") if dice.chance(5) else Decimal(1),
            place=self.place(dice),
            **self.when(dice),
        )

    def line(self, dice):
        item = dice.one(Item.objects.exclude(kind="made").filter(on_tap=False))
        lots = []
        for _ in range(1 if dice.roll(3) else 2):
            amount = rounded(item, 500 + dice.roll(5000) + dice.cents(100))
            lots.append(actions.NewLot(amount, supplier_lot=f"S{dice.roll(9)}"))
        known = not dice.chance(4)
        return actions.NewLine(
            item,
            lots,
            price=dice.cents(9000) if known else None,
            tax=dice.cents(100) if known else Decimal(0),
            recoverable_tax=dice.cents(100) if known else Decimal(0),
            shipping_weight=None if dice.chance(3) else Decimal(dice.roll(5000)),
        )

    def price_later(self, dice):
        line = dice.one(PurchaseLine.objects.order_by("pk"))
        tax = dice.cents(100)
        actions.price_line(
            line=line, price=dice.cents(9000), tax=tax, **self.when(dice)
        )

    def late_extra(self, dice):
        new = extra(dice)
        actions.add_extra_cost(
            purchase=dice.one(Purchase.objects.order_by("pk")),
            kind=new.kind,
            amount=new.amount,
            by_basis=new.by,
            **self.when(dice),
        )

    def open_stock(self, dice):
        item = dice.one(Item.objects.filter(on_tap=False))
        new = actions.NewLot(
            rounded(item, 500 + dice.roll(5000)),
            net_mass=Decimal(250) if item.unit == "piece" and dice.roll(2) else None,
        )
        value = None if dice.chance(4) else dice.cents(9000)
        actions.open_stock(
            item=item, lot=new, value=value, place=self.place(dice), **self.when(dice)
        )

    # making

    def uses(self, dice, lots=None):
        uses = []
        for _ in range(1 + dice.roll(3)):
            lot = lots[len(uses)] if lots else self.lot(dice)
            amount = self.amount(dice, lot)
            surplus = rounded(lot.item, dice.roll(50)) if dice.chance(6) else Decimal(0)
            uses.append(actions.Use(amount, lot, surplus=surplus))
            if lots:
                break
        if dice.chance(3):
            water = Item.objects.get(on_tap=True)
            uses.append(actions.Use(Decimal(1 + dice.roll(900)), item=water))
        return uses

    def output(self, dice, grams):
        item = dice.one(Item.objects.filter(kind="made"))
        if item.unit == "piece":
            mass = None if dice.chance(3) else Decimal(250)
            pieces = max(Decimal(1), rounded(item, grams / 250))
            return actions.Output(pieces, item, net_mass=mass, status=self.word(dice))
        share = Decimal(80 + dice.roll(25)) / 100
        made = max(Decimal(1), rounded(item, grams * share))
        return actions.Output(made, item, status=self.word(dice))

    def word(self, dice):
        return dice.one(("released", "released", "", "quarantine"))

    def work(self, dice):
        return [
            actions.NewWork(
                dice.one(("labour", "energy", "overhead")),
                Decimal(1 + dice.roll(90000)) / 10000,
                dice.cents(4000),
            )
            for _ in range(dice.roll(3))
        ]

    def losses(self, dice):
        kind = dice.one(("steam", "spill", "left on the walls", "other"))
        return [actions.NewLoss(kind, Decimal(1 + dice.roll(40)))] * dice.roll(2)

    def run(self, dice):
        uses = self.uses(dice)
        grams = sum(use.amount for use in uses)
        version = self.version(dice)
        actions.run_batch(
            stage=version.formula.stage if version else dice.one((*STAGES, "rework")),
            version=version,
            uses=uses,
            output=self.output(dice, grams),
            expected=None if dice.roll(2) else Decimal(int(grams)),
            trial=dice.chance(6),
            losses=self.losses(dice),
            work=self.work(dice),
            **self.when(dice),
        )

    def version(self, dice):
        return None if dice.roll(3) else dice.one(Version.objects.order_by("pk"))

    def start(self, dice):
        version = self.version(dice)
        stage = version.formula.stage if version else dice.one(STAGES)
        actions.start_batch(stage=stage, version=version, **self.when(dice))

    def use(self, dice):
        actions.use_lots(
            batch=dice.one(Batch.objects.filter(lot=None).order_by("-pk")[:3]),
            uses=self.uses(dice),
            **self.when(dice),
        )

    def finish(self, dice):
        """Make what an open batch makes, also one that was made before."""
        batches = Batch.objects.order_by("-pk")
        if dice.roll(6):
            made = Movement.objects.standing().filter(kind="made").values("batch")
            batches = batches.filter(movements__kind="used").exclude(pk__in=made)
            batches = batches.distinct()
        batch = dice.one(batches[:4])
        used = batch.movements.standing().filter(kind="used")
        actions.make_lot(
            batch=batch,
            output=self.output(dice, -sum(row.amount for row in used)),
            losses=self.losses(dice),
            work=self.work(dice),
            **self.when(dice),
        )

    def craft_day(self, dice):
        """Dilute, finish and fill in one deed, and now and then more than there is."""
        uses = self.uses(dice)
        grams = sum(use.amount for use in uses)
        thin, fine = dice.one((grams, grams - 1)), grams * Decimal("0.9")
        stages = [self.stage(dice, "dilution", "diluted soap", thin, uses)]
        stages.append(self.stage(dice, "finishing", "finished soap", fine, ()))
        fillings = []
        for share in dice.one(((), (Decimal("0.5"),), (Decimal("0.6"),) * 2)):
            soap = max(Decimal("0.001"), rounded(Item(unit="g"), fine * share))
            pieces = soap / 250
            new = self.stage(dice, "filling", "hand wash", pieces, (), taken=soap)
            fillings.append(new)
        actions.craft_day(
            dilution=stages[0],
            finishing=stages[1],
            fillings=fillings,
            **self.when(dice),
        )

    def stage(self, dice, stage, makes, amount, uses, taken=None):
        item = Item.objects.get(name=makes)
        amount = max(Decimal(1), rounded(item, amount))
        net = Decimal(250) if item.unit == "piece" else None
        return actions.NewBatch(
            stage=stage,
            output=actions.Output(amount, item, net_mass=net),
            uses=uses,
            taken=taken,
            work=self.work(dice),
        )

    def open_a_pack(self, dice):
        actions.open_pack(lot=self.lot(dice), **self.when(dice))

    def pack_later(self, dice):
        filled = Batch.objects.filter(stage__in=["filling", "packing"])
        batch = dice.one(filled.exclude(lot=None).order_by("-pk")[:3])
        lots = Lot.objects.filter(item__kind="packaging").with_on_hand()
        uses = self.uses(dice, lots=[dice.one(lots.order_by("pk"))])
        actions.use_lots(batch=batch, uses=uses, **self.when(dice))

    def note(self, dice):
        batch = dice.one(Batch.objects.order_by("pk"))
        match dice.roll(4):
            case 0:
                actions.note_work(batch=batch, work=self.work(dice), **self.when(dice))
            case 1:
                actions.name_loss(
                    batch=batch, losses=self.losses(dice), **self.when(dice)
                )
            case 2:
                actions.note_step(batch=batch, text="it thickens", **self.when(dice))
            case _:
                actions.promote_trial(batch=batch, **self.when(dice))

    def measure(self, dice):
        what = dice.one(("neutrality", "purity", "soap content", "pH"))
        passed = bool(dice.roll(4)) if what == "neutrality" else None
        value = None if what == "neutrality" else Decimal(dice.roll(100)) / 100
        of = {"lot": self.lot(dice)}
        if dice.chance(4):
            of = {"batch": dice.one(Batch.objects.order_by("pk"))}
        readings = [actions.Reading(what, value, passed=passed)]
        actions.note_measurement(readings=readings, **of, **self.when(dice))

    def write_recipe(self, dice):
        stage = dice.one(STAGES[:4])
        item = Item.objects.get(name="rapeseed oil" if stage == "cook" else "paste")
        makes = Item.objects.get(name="finished soap")
        release = ["check", "hand"] + ["making"] * (stage == "dilution")
        actions.write_version(
            name=f"our {stage}",
            stage=stage,
            makes=makes,
            lines=[actions.NewVersionLine(item, share=Decimal(1))],
            release=dice.one(release),
            band=Decimal(dice.one((5, 50, 200))) / 1000,
            rest_days=dice.roll(3),
            shelf_days=dice.one((None, 2, 300)),
            **self.when(dice),
        )

    # leaving

    def sell(self, dice):
        lines = []
        for _ in range(1 + dice.roll(2)):
            lot = self.lot(dice)
            amount, price = self.amount(dice, lot), dice.cents(1500)
            lines.append(actions.NewSaleLine(lot, amount, price, self.place(dice)))
        who = dice.one((*self.customers, None))
        channel = dice.one(("", "Saturday stall", "by post"))
        actions.sell(lines=lines, customer=who, channel=channel, **self.when(dice))

    def take_back(self, dice):
        line = dice.one(SaleLine.objects.order_by("pk"))
        actions.take_back(
            line=line,
            amount=self.amount(dice, line.lot, line.amount),
            then=dice.one(("restock", "destroy")),
            place=self.place(dice),
            **self.when(dice),
        )

    def give(self, dice):
        lot = self.lot(dice)
        actions.give(
            lot=lot,
            amount=self.amount(dice, lot, lot.on_hand / 4),
            why=dice.one(WHY),
            recipient=dice.one(("", "Cy")),
            place=self.place(dice),
            **self.when(dice),
        )

    def count(self, dice):
        lot, share = self.lot(dice), Decimal(dice.one((0, 9, 10, 10, 11))) / 10
        actions.count_lot(
            lot=lot,
            found=rounded(lot.item, lot.on_hand * share),
            place=self.place(dice),
            **self.when(dice),
        )

    def reweigh(self, dice):
        lot, share = self.lot(dice), Decimal(dice.one((7, 9, 10, 11))) / 10
        actions.reweigh_lot(
            lot=lot,
            found=rounded(lot.item, lot.on_hand * share),
            place=self.place(dice),
            **self.when(dice),
        )

    def discard(self, dice):
        lot = self.lot(dice)
        amount = self.amount(dice, lot, lot.on_hand / 3)
        actions.discard(
            lot=lot, amount=amount, place=self.place(dice), **self.when(dice)
        )

    def move(self, dice):
        lot = self.lot(dice)
        actions.move_lot(
            lot=lot,
            amount=self.amount(dice, lot, lot.on_hand / 2),
            place=self.place(dice),
            to=dice.one(self.places),
            **self.when(dice),
        )

    def status(self, dice):
        lot = self.lot(dice)
        match dice.roll(6):
            case 0:
                actions.hold_lot(lot=lot, **self.when(dice))
            case 1:
                actions.reject_lot(lot=lot, **self.when(dice))
            case _:
                override = dice.chance(2)
                actions.release_lot(lot=lot, override=override, **self.when(dice))

    # mending

    def reverse(self, dice):
        movement = dice.one(Movement.objects.order_by("-pk")[:20])
        actions.reverse_movement(movement=movement, **self.when(dice))

    def undo(self, dice):
        undone = dice.one(Deed.objects.order_by("-pk")[:12])
        actions.undo_deed(undone=undone, **self.when(dice))

    def correct(self, dice):
        movement = dice.one(Movement.objects.order_by("-pk")[:30])
        amount = self.amount(dice, movement.lot, abs(movement.amount))
        moved = movement.on + timedelta(days=dice.roll(7) - 3)
        actions.correct_movement(
            movement=movement,
            amount=amount,
            moved_to=moved if dice.chance(3) else None,
            **self.when(dice),
        )

    def close(self, dice):
        act = self.when(dice)
        through = act["on"] - timedelta(days=9 + dice.roll(20))
        actions.close_book(through=through, **act)


def extra(dice):
    kind = dice.one(("freight", "duty", "surcharge", "credit"))
    amount = dice.cents(900) + Decimal("0.01")
    by = dice.one(("value", "weight", "quantity"))
    return actions.NewExtra(kind, -amount if kind == "credit" else amount, by)


def rounded(item, amount):
    """Milligrams, or whole pieces."""
    step = Decimal(1) if item.unit == "piece" else Decimal("0.001")
    return Decimal(amount).quantize(step)


def digest():
    """How many rows every table has, and what the book and the codes add up to."""
    tables = [model._meta.db_table for model in apps.get_models()]
    sums = [f'(SELECT COUNT(*) FROM "{table}")' for table in sorted(tables)]
    sums.append("(SELECT SUM(amount) FROM production_movement)")
    sums.append("(SELECT SUM(last) FROM production_codeseries)")
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(sums)}")
        return cursor.fetchone()


VERBS = {
    "buy": RandomWorkshop.buy,
    "price later": RandomWorkshop.price_later,
    "late extra": RandomWorkshop.late_extra,
    "open stock": RandomWorkshop.open_stock,
    "run": RandomWorkshop.run,
    "start": RandomWorkshop.start,
    "use": RandomWorkshop.use,
    "finish": RandomWorkshop.finish,
    "craft day": RandomWorkshop.craft_day,
    "open a pack": RandomWorkshop.open_a_pack,
    "pack later": RandomWorkshop.pack_later,
    "note": RandomWorkshop.note,
    "measure": RandomWorkshop.measure,
    "write a recipe": RandomWorkshop.write_recipe,
    "sell": RandomWorkshop.sell,
    "take back": RandomWorkshop.take_back,
    "give": RandomWorkshop.give,
    "count": RandomWorkshop.count,
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
