"""What a random workshop makes, and what it notes meanwhile."""

from decimal import Decimal

from production.batches.actions import days as deeds
from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.losing import lose_batch, name_loss, rename_loss
from production.batches.actions.new_batch import NewBatch, Output, Use
from production.batches.actions.trials import promote_trial
from production.batches.actions.working import note_work
from production.lots.actions.packs import open_pack
from production.models import Batch, Item, Loss, Lot, Movement, Version
from production.release.actions.readings import note_measurement, note_step
from production.stock.actions.opening_lots import Reading
from production.yields.domain.hours_and_losses import NewLoss, NewWork
from tests.production.random_workshop.dice import rounded

STAGES = ("cook", "preparation", "dilution", "finishing", "filling", "packing")


class Making:
    def uses(self, dice, lots=None):
        uses = []
        for _ in range(1 + dice.roll(3)):
            lot = lots[len(uses)] if lots else self.lot(dice)
            amount = self.amount(dice, lot)
            surplus = rounded(lot.item, dice.roll(50)) if dice.chance(6) else Decimal(0)
            uses.append(Use(amount, lot, surplus=surplus))
            if lots:
                break
        if dice.chance(3):
            water = Item.objects.get(on_tap=True)
            uses.append(Use(Decimal(1 + dice.roll(900)), item=water))
        return uses

    def output(self, dice, grams):
        item = dice.one(Item.objects.filter(kind="made"))
        if item.unit == "piece":
            mass = None if dice.chance(3) else Decimal(250)
            pieces = max(Decimal(1), rounded(item, grams / 250))
            return Output(pieces, item, net_mass=mass, status=self.word(dice))
        share = Decimal(80 + dice.roll(25)) / 100
        made = max(Decimal(1), rounded(item, grams * share))
        return Output(made, item, status=self.word(dice))

    def word(self, dice):
        return dice.one(("released", "released", "", "quarantine"))

    def work(self, dice):
        return [
            NewWork(
                kind,
                Decimal(1 + dice.roll(90000)) / 10000,
                dice.cents(4000),
                person=dice.one(("", "Ines")),
                power=Decimal(1 + dice.roll(3000)) / 1000 if kind == "energy" else None,
            )
            for kind in [
                dice.one(("labour", "energy", "overhead", "unpaid"))
                for _ in range(dice.roll(3))
            ]
        ]

    def losses(self, dice):
        kind = dice.one(("steam", "spill", "left on the walls", "other"))
        return [NewLoss(kind, Decimal(1 + dice.roll(40)))] * dice.roll(2)

    def run(self, dice):
        uses = self.uses(dice)
        grams = sum(use.amount for use in uses)
        version = self.version(dice)
        run_batch(
            stage=version.formula.stage if version else dice.one((*STAGES, "rework")),
            version=version,
            uses=uses,
            output=self.output(dice, grams),
            expected=None if dice.roll(2) else Decimal(int(grams)),
            trial=dice.chance(6),
            losses=self.losses(dice),
            lost_as=dice.one(("", "steam", "spill")),
            work=self.work(dice),
            **self.when(dice),
        )

    def cook_lye_heavy(self, dice):
        """A paste of a declared lye excess, mostly ready to be diluted."""
        versions = Version.objects.filter(lye_excess=True).order_by("pk")
        if not versions:
            self.lye_heavy_recipe(dice)
            return
        version = dice.one(versions)
        oil = self.lot(dice, item__category="oil")
        amount = self.amount(dice, oil)
        made = Output(amount, status=dice.one(("released", "released", "")))
        run_batch(
            stage="cook",
            version=version,
            uses=[Use(amount, oil)],
            output=made,
            **self.when(dice),
        )

    def version(self, dice):
        return None if dice.roll(3) else dice.one(Version.objects.order_by("pk"))

    def start(self, dice):
        version = self.version(dice)
        stage = version.formula.stage if version else dice.one(STAGES)
        start_batch(stage=stage, version=version, **self.when(dice))

    def use(self, dice):
        use_lots(
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
        make_lot(
            batch=batch,
            output=self.output(dice, -sum(row.amount for row in used)),
            losses=self.losses(dice),
            work=self.work(dice),
            **self.when(dice),
        )

    def lose(self, dice):
        """All of an open batch, now and then of one that has made its lot."""
        batches = Batch.objects.filter(movements__kind="used").distinct()
        if dice.roll(5):
            batches = batches.filter(lot=None)
        kind = dice.one(("boiled over", "burnt", "thrown away", "steam"))
        lose_batch(
            batch=dice.one(batches.order_by("-pk")[:3]),
            kind=kind,
            work=self.work(dice),
            **self.when(dice),
        )

    def call_otherwise(self, dice):
        rename_loss(
            loss=dice.one(Loss.written.order_by("-pk")[:4]),
            kind=dice.one(("steam", "spill", "bench sample", "burnt", "other")),
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
        deeds.craft_day(
            dilution=stages[0],
            finishing=stages[1],
            fillings=fillings,
            **self.when(dice),
        )

    def stage(self, dice, stage, makes, amount, uses, taken=None):
        item = Item.objects.get(name=makes)
        amount = max(Decimal(1), rounded(item, amount))
        net = Decimal(250) if item.unit == "piece" else None
        return NewBatch(
            stage=stage,
            output=Output(amount, item, net_mass=net),
            uses=uses,
            taken=taken,
            work=self.work(dice),
            readings=self.tested(dice),
        )

    def tested(self, dice):
        if not dice.chance(3):
            return ()
        return (Reading("neutrality", passed=bool(dice.roll(4))),)

    def open_a_pack(self, dice):
        open_pack(lot=self.lot(dice), **self.when(dice))

    def pack_later(self, dice):
        filled = Batch.objects.filter(stage__in=["filling", "packing"])
        batch = dice.one(filled.exclude(lot=None).order_by("-pk")[:3])
        lots = Lot.objects.filter(item__kind="packaging").with_on_hand()
        uses = self.uses(dice, lots=[dice.one(lots.order_by("pk"))])
        use_lots(batch=batch, uses=uses, **self.when(dice))

    def note(self, dice):
        batch = dice.one(Batch.objects.order_by("pk"))
        match dice.roll(4):
            case 0:
                note_work(batch=batch, work=self.work(dice), **self.when(dice))
            case 1:
                name_loss(batch=batch, losses=self.losses(dice), **self.when(dice))
            case 2:
                look = dice.one(("", "", "minutes", "day", "week"))
                note_step(batch=batch, text="it thickens", look=look, **self.when(dice))
            case _:
                promote_trial(batch=batch, past=True, **self.when(dice))

    def measure(self, dice):
        what = dice.one(("neutrality", "purity", "soap content", "pH"))
        passed = bool(dice.roll(4)) if what == "neutrality" else None
        value = None if what == "neutrality" else Decimal(dice.roll(100)) / 100
        of = {"lot": self.lot(dice)}
        if dice.chance(4):
            of = {"batch": dice.one(Batch.objects.order_by("pk"))}
        readings = [Reading(what, value, passed=passed)]
        note_measurement(readings=readings, **of, **self.when(dice))
