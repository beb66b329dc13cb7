"""What is cooked, thinned, finished, filled, packed and reworked; whole and open."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.batches.actions.batches import (
    make_lot,
    run_batch,
    start_batch,
    use_lots,
)
from production.batches.actions.new_batch import Output, Use
from production.stock.actions.opening_lots import Reading
from tests import make
from tests.production.caustic_machine.bench import ACTORS, DAYS, PICK, YES_OR_NO
from tests.production.caustic_machine.model import ALKALI, NAMELESS, Entry, Thing

BAGS = {"cook": "paste", "rework": "paste", "preparation": "premix"}
BAGS |= {"dilution": "diluted soap", "finishing": "finished soap"}
IN_PIECES = {"filling": "hand wash", "packing": "gift set"}
ASKED = st.sampled_from(("", "", "released", "quarantine"))
STAGES = st.sampled_from((*BAGS, *IN_PIECES))


def counted(uses):
    """How many pieces of each go in: as many come out, one of each in every one."""
    return [int(n) for lot, n in uses if lot.pieces or lot.role == "packaging"]


class Making:
    def honest_way(self, far):
        """A paste that passed, its dilution, its bottles; as far as that."""
        if far > 0:
            self.run_it("cook", self.pot(140), 0, "owner")
            self.check_and_release(self.model.things[-1])
        if far > 1:
            uses = [(self.model.things[-1], 600), (self.first("water"), 600)]
            self.run_it("dilution", uses, 0, "owner")
        if far > 2:
            uses = [(self.model.things[-1], 1000), (self.first("packaging"), 4)]
            self.run_it("filling", uses, 0, "owner")
            self.let_go(self.model.things[-1], 0, "owner", False, None)

    @rule(n=PICK, days=DAYS)
    @precondition(lambda self: self.here(soap=True, made=True))
    def an_honest_pass(self, n, days):
        """Tested and released, as on most days."""
        thing = self.pick(n, self.here(soap=True, made=True))
        self.check_and_release(thing, days)

    def check_and_release(self, thing, days=0):
        reading = Reading("neutrality", passed=True)
        self.note(thing, reading, True, days, "owner")
        if thing.word(self.today) != "released":
            self.let_go(thing, days, "owner", False, None)

    # -- rules: whole batches

    @rule(potash=st.sampled_from((140, 140, 140, 145, 207, 100)), days=DAYS, who=ACTORS)
    def cook(self, potash, days, who):
        self.run_it("cook", self.pot(potash), days, who)

    @rule(days=DAYS, who=ACTORS)
    def cook_and_forget_the_potash(self, days, who):
        self.run_it("cook", self.pot(0), days, who)

    @rule(n=PICK, potash=st.sampled_from((0, 0, 20)), days=DAYS, who=ACTORS)
    @precondition(lambda self: self.here(soap=True))
    def cook_on(self, n, potash, days, who):
        soap = self.pick(n, self.here(soap=True))
        extra = [(self.first("oil"), 50), (self.first("alkali"), potash)]
        self.run_it("cook", [(soap, self.some(soap)), *extra], days, who)

    @rule(sugar=st.sampled_from(("water", "water", "acid")), days=DAYS, who=ACTORS)
    def lye_stock(self, sugar, days, who):
        uses = [(self.first("alkali"), 200), (self.first(sugar), 200)]
        self.run_it("preparation", uses, days, who)

    @rule(n=PICK, days=DAYS, who=ACTORS, status=ASKED)
    @precondition(lambda self: self.here(soap=True))
    def dilute(self, n, days, who, status):
        soap = self.pick(n, self.here(soap=True, pieces=False))
        if soap is not None:
            uses = [(soap, self.some(soap)), (self.first("water"), 500)]
            self.run_it("dilution", uses, days, who, status)

    @rule(
        n=PICK,
        beside=st.sampled_from(("fragrance", "fragrance", "alkali", "acid", "oil")),
        days=DAYS,
        who=ACTORS,
        status=ASKED,
    )
    @precondition(lambda self: self.here(soap=True))
    def finish(self, n, beside, days, who, status):
        soap = self.pick(n, self.here(soap=True, pieces=False))
        if soap is not None:
            uses = [(soap, self.some(soap)), (self.first(beside), 5)]
            self.run_it("finishing", uses, days, who, status)

    @rule(n=PICK, m=PICK, stage=STAGES, days=DAYS, who=ACTORS, status=ASKED)
    def mix_anything(self, n, m, stage, days, who, status):
        """Tubs mixed up: two things of the shelf, at whatever stage."""
        bags = self.here(pieces=False)
        shelf = [one for one in bags if one.role != "packaging"]
        one, other = self.pick(n, shelf), self.pick(m, shelf)
        if one is not other:
            uses = [(one, self.some(one)), (other, self.some(other))]
            self.run_it(stage, uses, days, who, status)

    @rule(n=PICK, days=DAYS, who=ACTORS, status=ASKED)
    @precondition(lambda self: self.here(soap=True))
    def fill(self, n, days, who, status):
        soap = self.pick(n, self.here(soap=True, pieces=False))
        if soap is not None:
            uses = [(soap, self.some(soap)), (self.first("packaging"), 4)]
            self.run_it("filling", uses, days, who, status)

    @rule(n=PICK, days=DAYS, who=ACTORS)
    @precondition(lambda self: self.here(soap=True, pieces=True))
    def pack(self, n, days, who):
        filled = self.pick(n, self.here(soap=True, pieces=True))
        self.run_it("packing", [(filled, 1)], days, who)

    @rule(n=PICK, pieces=YES_OR_NO, days=DAYS, who=ACTORS, status=ASKED)
    @precondition(lambda self: self.here(soap=True))
    def rework(self, n, pieces, days, who, status):
        soap = self.pick(n, self.here(soap=True))
        uses = [(soap, self.some(soap)), (self.first("water"), 50)]
        self.run_it("rework", uses, days, who, status, pieces=pieces)

    @rule(n=PICK, stage=STAGES, days=DAYS)
    @precondition(lambda self: self.here(soap=True))
    def try_out(self, n, stage, days):
        soap = self.pick(n, self.here(soap=True))
        uses = [(soap, self.some(soap)), (self.first("fragrance"), 2)]
        self.run_it(stage, uses, days, "owner", trial=True)

    # -- rules: a batch that stays open

    @rule(stage=STAGES, days=DAYS, who=ACTORS, trial=st.sampled_from((0, 0, 1)))
    @precondition(lambda self: len(self.open_things()) < 3)
    def start(self, stage, days, who, trial):
        thing, act = self.new(stage, trial=bool(trial)), self.when(days, who)

        def call():
            code = f"B-{thing.code}"
            return start_batch(stage=stage, code=code, trial=thing.trial, **act)

        def effect(_):
            self.model.things.append(thing)

        self.attempt("start", f"start {stage} {thing.code}", call, act, effect=effect)

    @rule(n=PICK, m=PICK, days=DAYS, who=ACTORS, right=st.booleans())
    @precondition(lambda self: self.open_things())
    def feed(self, n, m, days, who, right):
        thing = self.pick(n, self.open_things())
        source = self.pick(m, self.here())
        uses = [(source, self.some(source))]
        if right and thing.stage == "cook":
            uses = self.pot(140)
        act = self.when(days, who)
        # Whether it comes out in pieces is asked when the lot is made.
        wanted = [row for row in self.wanted(thing, uses) if row[1] != "count"]

        def call():
            use_lots(batch=self.batch(thing), uses=self.uses(uses), **act)

        def effect(_):
            for lot, grams in uses:
                self.pour(thing, lot, grams, act["on"])

        says = f"into {thing.code} ({thing.stage}): {self.named(uses)}"
        self.attempt("feed", says, call, act, wanted, effect)

    @rule(n=PICK, days=DAYS, who=ACTORS, status=ASKED, pieces=YES_OR_NO)
    @precondition(lambda self: self.open_things())
    def make_the_lot(self, n, days, who, status, pieces):
        fed = [one for one in self.open_things() if any(self.model.poured(one))]
        thing = self.pick(n, fed)
        if thing is None:
            return
        act, sources = self.when(days, who), list(self.model.poured(thing))
        pieces = thing.pieces if thing.made else pieces or thing.pieces
        grams = sum(e.grams for p, e in sources if p.source.role != "packaging")
        counts = counted((p.source, e.grams) for p, e in sources)
        amount = (counts or [4])[0] if pieces else max(1, int(grams))
        # What is filled was asked about when it went in.
        asked = pieces and thing.stage not in IN_PIECES
        wanted = [(p.source, "count", False) for p, _ in sources] if asked else ()
        output = self.output(thing, amount, status, pieces)
        batch = self.batch(thing)

        def effect(_):
            thing.pieces = pieces
            self.made(thing, amount, act["on"], status)

        self.attempt(
            "make the lot",
            f"{thing.code} ({thing.stage}) makes {amount}, asked {status or 'nothing'}",
            lambda: make_lot(batch=batch, output=output, **act),
            act,
            wanted,
            effect,
        )

    # -- how

    def open_things(self):
        return [
            one
            for one in self.model.things
            if not one.outside and one.making(self.model.turn) is None
        ]

    def pot(self, potash):
        parts = [(self.first("oil"), 700), (self.first("alkali"), potash)]
        return [*parts, (self.first("water"), 400)]

    def some(self, thing):
        """A part of it that leaves something for the next step."""
        if thing.pieces:
            return 1
        return max(1, int(thing.left / 3)) if not thing.outside else 50

    def new(self, stage, *, trial=False, pieces=None):
        thing = Thing(self.next_code(stage[0].upper()), stage=stage, trial=trial)
        thing.pieces = stage in IN_PIECES or bool(pieces)
        return thing

    def output(self, thing, amount, status, pieces):
        names = IN_PIECES if pieces else BAGS
        name = names.get(thing.stage, "soap piece" if pieces else "soap pot")
        item = make.item(name, kind="made", unit="piece" if pieces else "g")
        return Output(Decimal(amount), item, code=thing.code, status=status)

    def uses(self, pairs):
        return [Use(lot=self.lot(lot), amount=Decimal(grams)) for lot, grams in pairs]

    def named(self, pairs):
        return ", ".join(f"{grams} of {lot.code}" for lot, grams in pairs)

    def wanted(self, thing, uses):
        """What each source is asked for by what it becomes."""
        stage, wanted = thing.stage, []
        for lot, _ in uses:
            if lot.role == "packaging":
                continue
            soap = self.soapy(lot) or lot.stage in {"cook", "rework"}
            mends = stage == "cook" and soap
            if stage == "rework" or mends:
                purpose = "mend"
            else:
                purpose = "fill" if stage in IN_PIECES else "use"
            wanted.append((lot, purpose, False))
        if thing.pieces and stage not in IN_PIECES:
            wanted += [(lot, "count", False) for lot, _ in uses]
        return wanted

    def run_it(self, stage, pairs, days, who, status="", *, trial=False, pieces=False):
        uses = [(lot, grams) for lot, grams in pairs if lot is not None and grams]
        thing, act = self.new(stage, trial=trial, pieces=pieces), self.when(days, who)
        weighed = sum(grams for lot, grams in uses if not lot.pieces)
        counts = counted(uses)
        amount = (counts or [4])[0] if thing.pieces else max(1, int(weighed))
        output = self.output(thing, amount, status, thing.pieces)
        exits = self.wanted(thing, uses)
        enough = all(lot.left >= grams for lot, grams in uses)
        burns = any(
            lot.role in {ALKALI, NAMELESS} or self.model.chemical(lot)
            for lot, _ in uses
        )

        def call():
            return run_batch(
                stage=stage,
                code=f"B-{thing.code}",
                uses=self.uses(uses),
                output=output,
                trial=trial,
                **act,
            )

        def effect(_):
            self.model.things.append(thing)
            for lot, grams in uses:
                self.pour(thing, lot, grams, act["on"])
            self.made(thing, amount, act["on"], status)
            self.can_undo(lambda: self.unmade(thing, all_of_it=True))

        says = (
            f"{stage} {thing.code} of {self.named(uses)}, asked {status or 'nothing'}"
        )
        says += " (trial)" if trial else ""
        name = "try out" if trial else stage
        honest = enough and not burns and len(set(counts)) < 2
        self.attempt(name, says, call, act, exits, effect, honest)

    def made(self, thing, amount, on, status):
        thing.made.append(Entry(Fraction(amount), on, self.model.turn))
        thing.left = Fraction(amount)
        on_making = thing.stage in {"preparation", "dilution"}
        asked = status or ("released" if on_making else "quarantine")
        if asked == "released" and self.model.threats(thing, on):
            asked = "quarantine"
        thing.words.append((on, self.model.turn, asked))
        if asked == "released" and self.model.held(thing, on):
            thing.murk = "born held"

    def unmade(self, thing, *, all_of_it):
        making = thing.making(self.model.turn)
        if making is not None:
            making.until = self.model.turn
            thing.left = Fraction(0)
        if all_of_it:
            self.unpour(thing)
