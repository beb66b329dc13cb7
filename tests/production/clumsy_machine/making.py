"""What is made: whole batches, open ones, parts of a plan, and nothing at all."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from django.urls import reverse
from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.losing import name_loss
from production.batches.actions.new_batch import Output, Use
from production.models import Version
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.yields.domain.hours_and_losses import NewLoss
from tests import make
from tests.production.clumsy_machine import book
from tests.production.clumsy_machine.bench import DAYS, PICK, SHARE
from tests.production.clumsy_machine.model import Pot, Thing

WEIGHED = ("glycerin", "lavender", "salt", "base")
EACH, INTO_EACH, LOSS = 240, 250, Fraction(4, 100)
KINDS = st.sampled_from(("steam", "spill", "left on the walls", "other"))


class Making:
    # -- whole batches

    @rule(n=PICK, m=PICK, share=SHARE, lost=SHARE, wanted=SHARE, days=DAYS)
    def blend(self, n, m, share, lost, wanted, days):
        """Two things become a base; at times some is spilt, or more was expected."""
        one, other = (
            self.pick(n, self.here(*WEIGHED)),
            self.pick(m, self.here(*WEIGHED)),
        )
        if one is None or one is other:
            return
        uses = [(one, self.part(one, share)), (other, self.part(other, 1))]
        whole = sum(grams for _, grams in uses)
        spilt = whole // 50 if lost == 7 else 0
        made = whole - spilt
        expected = made + 100 if wanted == 5 else None
        self.run_it("preparation", "base", uses, made, days, spilt, expected)

    @rule(n=PICK, share=SHARE, days=DAYS)
    def fill(self, n, share, days):
        base, bottle = (
            self.pick(n, self.here("base")),
            self.pick(n, self.here("bottle")),
        )
        if base is None or bottle is None:
            return
        pieces = max(1, self.part(base, share) // EACH)
        uses = [(base, pieces * EACH), (bottle, pieces)]
        self.run_it("filling", "bath oil", uses, pieces, days)

    @rule(n=PICK, days=DAYS)
    def pack(self, n, days):
        """Two bottles and a box make a set."""
        pieces, box = (
            self.pick(n, self.here("bath oil", least=2)),
            self.pick(n, self.here("box")),
        )
        if pieces is None or box is None:
            return
        sets = max(1, self.part(pieces, 5) // 2)
        self.run_it(
            "packing", "gift set", [(pieces, 2 * sets), (box, sets)], sets, days
        )

    def run_it(
        self, stage, makes, uses, amount, days, spilt=0, expected=None, codes=None
    ):
        lot, code = codes or (self.serial("M"), self.serial("P"))
        act = self.when(days)
        output = self.output(makes, amount, lot)
        losses = [NewLoss("spill", Decimal(spilt))] if spilt else []
        facts = {
            "stage": stage,
            "code": code,
            "uses": [self.use(*pair) for pair in uses],
            "output": output,
            "losses": losses,
            "expected": None if expected is None else Decimal(expected),
            **act,
        }
        says = f"{stage} {code}: {self.named(uses)} make {amount} of {lot}"
        says += f", {spilt} spilt" if spilt else ""
        says += f", {expected} expected" if expected else ""

        def effect(_):
            deed = self.model.act(says, code)
            pot = self.pot(deed, code, stage, makes, lot)
            pot.typed = None if expected is None else Fraction(expected)
            if spilt:
                pot.losses.append((deed, "spill", Fraction(spilt)))
            self.take(deed, pot, uses, act["on"])
            self.entry(deed, lot, amount, "made", act["on"], batch=code)
            return deed

        again = [stage, makes, uses, amount]
        self.attempt(
            stage,
            says,
            run_batch,
            facts,
            self.may_come_again(
                effect,
                lambda days: self.run_it(*again, days, spilt, expected, (lot, code)),
            ),
            must=self.enough(*uses),
            other=lambda facts: {
                **facts,
                "output": replace(facts["output"], amount=Decimal(1)),
            },
        )

    def pot(self, deed, code, stage, makes, lot):
        """A batch, and the lot that it is to make."""
        pieces = makes != "base"
        grams = Fraction(EACH) if makes == "bath oil" else None
        self.model.pots[code] = Pot(deed, code, stage, lot=lot)
        known = self.model.things.setdefault(
            lot, Thing(lot, makes, pieces, grams=grams)
        )
        known.pot = code
        deed.about.add(code)
        return self.model.pots[code]

    def output(self, makes, amount, lot):
        pieces = makes != "base"
        item = make.item(
            makes, kind="made", category="additive", unit="piece" if pieces else "g"
        )
        net = Decimal(EACH) if makes == "bath oil" else None
        return Output(Decimal(amount), item, code=lot, net_mass=net, status="released")

    def use(self, thing, amount):
        place = self.places["workshop"]
        return Use(Decimal(amount), book.lot(thing.code), place=place)

    def take(self, deed, pot, uses, on):
        for thing, amount in uses:
            self.entry(deed, thing, -amount, "used", on, batch=pot.code)

    def named(self, uses):
        return ", ".join(f"{amount} of {thing.code}" for thing, amount in uses)

    # -- a batch that stays open

    @rule(m=PICK, share=SHARE, days=DAYS, wanted=SHARE)
    @precondition(lambda self: len(self.model.open_pots()) < 3)
    def start(self, m, share, days, wanted):
        self.start_it(days, wanted)
        if share > 1:
            self.feed(0, m, share, 0)

    def start_it(self, days, wanted):
        code, lot = self.serial("P"), self.serial("M")
        expected = Fraction(1000) if wanted == 7 else None

        def effect(_):
            deed = self.model.act(says, code)
            self.pot(deed, code, "preparation", "base", lot).typed = expected
            return deed

        says = f"starts {code}" + (", 1000 expected" if expected else "")
        facts = {"stage": "preparation", "code": code, **self.when(days)}
        facts["expected"] = Decimal(1000) if expected else None
        self.attempt(
            "start",
            says,
            start_batch,
            facts,
            effect,
            must=True,
            other=lambda facts: {**facts, "expected": Decimal(77)},
        )

    @rule(n=PICK, m=PICK, share=SHARE, days=DAYS)
    @precondition(lambda self: self.model.open_pots())
    def feed(self, n, m, share, days):
        pots = [p for p in self.model.open_pots() if p.stage == "preparation"][::-1]
        pot, thing = self.pick(n, pots), self.pick(m, self.here(*WEIGHED))
        if pot is None or thing is None or pot.code in self.behind(thing):
            return
        uses, act = [(thing, self.part(thing, share))], self.when(days)

        def effect(_):
            deed = self.model.act(says, pot.code)
            self.take(deed, pot, uses, act["on"])
            return deed

        says = f"into {pot.code}: {self.named(uses)}"
        self.attempt(
            "use",
            says,
            use_lots,
            {
                "batch": book.pot(pot.code),
                "uses": [self.use(*pair) for pair in uses],
                **act,
            },
            effect,
            must=self.enough(*uses),
            other=lambda facts: {
                **facts,
                "uses": [replace(facts["uses"][0], amount=Decimal(1))],
            },
        )

    def behind(self, thing):
        """The batches that a lot is made in, at any remove."""
        found, waiting = set(), [thing.code]
        while waiting:
            pot = self.model.pots.get(self.model.things[waiting.pop()].pot)
            if pot is not None and pot.code not in found:
                found.add(pot.code)
                waiting += [entry.lot for entry in self.model.inside(pot)]
        return found

    @rule(n=PICK, short=SHARE, days=DAYS)
    @precondition(lambda self: self.model.open_pots())
    def make_the_lot(self, n, short, days):
        ready = [pot for pot in self.model.open_pots() if self.model.inside(pot)]
        pot = self.pick(n, ready)
        if pot is None:
            return
        name, amount = self.model.things[pot.lot].name, self.comes_out(pot)
        if name == "base" and short == 5:
            amount -= amount // 100
        if amount < 1:
            return
        act = self.when(days)

        def effect(_):
            deed = self.model.act(says, pot.code)
            self.entry(deed, pot.lot, amount, "made", act["on"], batch=pot.code)
            return deed

        says = f"{pot.code} makes {amount} of {pot.lot}"
        output = self.output(name, amount, pot.lot)
        self.attempt(
            "make",
            says,
            make_lot,
            {"batch": book.pot(pot.code), "output": output, **act},
            effect,
            must=True,
            other=lambda facts: {
                **facts,
                "output": replace(facts["output"], amount=Decimal(1)),
            },
        )

    def comes_out(self, pot):
        """As much as what is inside makes, less what was lost."""
        if pot.stage == "packing":
            inside = self.model.inside(pot)
            return int(min(-e.now / (2 if e.lot[0] == "M" else 1) for e in inside))
        left = self.model.grams_in(pot) - sum(self.model.losses(pot).values())
        return int(left) // (EACH if pot.stage == "filling" else 1)

    @rule(n=PICK, kind=KINDS, days=DAYS)
    @precondition(lambda self: self.model.open_pots())
    def name_a_loss(self, n, kind, days):
        pot = self.pick(n, self.model.open_pots())
        if pot.stage != "preparation" or self.model.grams_in(pot) < 100:
            return

        def effect(_):
            deed = self.model.act(says, pot.code)
            pot.losses.append((deed, kind, Fraction(5)))
            return deed

        says = f"5 g of {pot.code} lost: {kind}"
        losses = [NewLoss(kind, Decimal(5))]
        self.attempt(
            "name a loss",
            says,
            name_loss,
            {"batch": book.pot(pot.code), "losses": losses, **self.when(days)},
            effect,
            must=True,
        )

    # -- through the pages

    @rule(n=PICK, days=DAYS)
    @precondition(lambda self: self.model.open_pots())
    def lose_it_wholly(self, n, days):
        ready = [pot for pot in self.model.open_pots() if self.model.inside(pot)]
        pot = self.pick(n, ready)
        if pot is None:
            return

        def effect(_):
            deed = self.model.act(f"{pot.code} is lost", pot.code)
            pot.given_up.append(deed)
            return deed

        sent = {"kind": "boiled over"}
        self.by_page(
            "lose a batch",
            f"{pot.code} is wholly lost",
            reverse("batch-lose", args=[pot.code]),
            lambda page: page | sent,
            effect,
            days,
        )

    @rule(n=PICK, part=st.sampled_from((1, 2, 5, 25)), days=DAYS)
    def part_of_a_plan(self, n, part, days):
        """She plans forty, has soap for fewer, and makes as many as it is for."""
        base = self.pick(n, self.here("base", least=INTO_EACH))
        bottle = self.pick(n, self.here("bottle"))
        if base is None or bottle is None:
            return
        part = min(part, int(self.model.left(base.code)) // INTO_EACH)
        part = min(part, int(self.model.left(bottle.code)))
        uses = [(base, part * INTO_EACH), (bottle, part)]
        lot, code = self.serial("M"), self.serial("P")
        on = {}

        def written(page):
            on["day"] = page["on"]
            spare = sorted(
                name.removesuffix("-lot")
                for name in page
                if name.startswith("uses-") and name.endswith("-lot")
            )
            page = dict(page)
            for row in spare:
                page[f"{row}-lot"] = page[f"{row}-amount"] = ""
            for row, (thing, amount) in zip(spare[-2:], uses, strict=True):
                page |= {f"{row}-lot": thing.code, f"{row}-amount": str(amount)}
            return page | {
                "amount": str(part),
                "net_mass": f"{EACH} g",
                "lot_code": lot,
                "code": code,
            }

        def effect(_):
            deed = self.model.act(f"fills {part} of forty", code)
            pot = self.pot(deed, code, "filling", "bath oil", lot)
            pot.loss, pot.each = LOSS, Fraction(EACH)
            # The page leaves it at rest: it is neither sold nor packed before.
            self.model.things[lot].name = "bath oil at rest"
            day = self.deed_day
            self.take(deed, pot, uses, day)
            self.entry(deed, lot, part, "made", day, batch=code)
            return deed

        url = reverse("batch-run", args=["filling"])
        self.by_page(
            "part of a plan",
            f"{code} fills {part} of a plan of forty into {lot}: {self.named(uses)}",
            f"{url}?version={self.recipe().pk}&amount=40",
            written,
            effect,
            days,
        )

    def recipe(self):
        found = Version.objects.filter(formula__name="bath oil, filled").first()
        return found or write_version(
            name="bath oil, filled",
            stage="filling",
            makes=make.item("bath oil", kind="made", category="additive", unit="piece"),
            lines=[
                NewVersionLine(
                    make.item("base", kind="made", category="additive"),
                    each=Decimal(EACH),
                ),
                NewVersionLine(self.card("bottle"), each=Decimal(1)),
            ],
            loss=Decimal("0.04"),
            band=Decimal("0.05"),
            on=self.today,
            by=self.owner,
        )
