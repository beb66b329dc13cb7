"""Where the machine stands: the shelf, who acts, and what a deed is held against."""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize

from config.audit import audit
from production.buying.actions.purchases import NewLine, record_purchase
from production.buying.actions.suppliers import ensure_supplier
from production.models import Batch, Deed, Lot, Movement
from production.quantities.domain.refusal import Refused
from production.selling.actions.customers import ensure_customer
from production.stock.actions.opening_lots import NewLot, Reading
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.production.caustic_machine.model import Entry, Model, Pour, Thing

FIRST = date(2026, 3, 2)
WHY = "it was so"
PICK = st.integers(0, 40)
DAYS = st.sampled_from((0, 0, 0, 0, 0, 1, 1, 2, -1, -3))
ACTORS = st.sampled_from(("owner", "owner", "maker"))
YES_OR_NO = st.booleans()
LAW = "Nothing alkaline left untested"

MOST_OF_ONE_KIND = 3

counted = {"done": Counter(), "refused": Counter()}


class Fault(AssertionError):
    """The book and the model do not say the same; with the deeds that led here."""


class Bench(RuleBasedStateMachine):
    """Each example is a book of its own, rolled back at its end."""

    def __init__(self):
        super().__init__()
        self.atomic = None
        self.model = Model()
        self.today = self.latest = FIRST
        self.told, self.serial, self.past_failed = [], 0, False
        self.undoable, self.often = [], Counter()

    @initialize(begun=st.sampled_from((0, 1, 2, 3, 3, 3)))
    def a_new_book(self, begun):
        """Empty kettles, or an honest way from the kettle to the shelf behind her."""
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.people = {"owner": make.owner(), "maker": make.maker()}
        self.places()
        self.shelf()
        self.told.append(f"the way behind her: {begun} steps of 3")
        self.honest_way(begun)

    def places(self):
        shop = ensure_place("corner shop")
        shop.customer = ensure_customer("Bo")
        shop.save(update_fields=["customer"])
        self.shop = shop
        self.supplier = ensure_supplier("Northmere Oils")

    def shelf(self):
        """A fat at 187 mg KOH per g, flakes at 90 %, and what soap is made with."""
        for role in ("oil", "alkali", "water", "fragrance", "acid", "packaging"):
            self.bring(role)

    def teardown(self):
        if self.atomic is None:
            return
        try:
            self.audited()
        finally:
            transaction.set_rollback(True)
            self.atomic.__exit__(None, None, None)

    def audited(self):
        for finding in audit():
            if finding.law == LAW and self.past_failed:
                continue
            if finding.faults:
                self.fault(f"the audit finds: {finding.law}: {finding.faults}")

    def fault(self, says):
        raise Fault("\n".join([*self.told, f"FAULT: {says}"]))

    # -- what there is

    def next_code(self, letter):
        self.serial += 1
        return f"{letter}{self.serial}"

    def pick(self, number, things):
        things = list(things)
        return things[number % len(things)] if things else None

    def here(self, *, role=None, made=None, pieces=None, soap=False):
        """Things with something left, the newest first."""
        return [
            one
            for one in reversed(self.model.things)
            if one.left > 0
            and (role is None or one.role == role)
            and (made is None or made == (not one.outside))
            and (pieces is None or one.pieces == pieces)
            and (not soap or self.soapy(one))
        ]

    def soapy(self, one):
        """Alkaline, and no alkali as such."""
        burns = self.model.alkaline(one) and not self.model.chemical(one)
        return burns and one.role != "nameless"

    def first(self, role):
        return self.pick(0, reversed(self.here(role=role)))

    def lot(self, thing):
        return Lot.objects.select_related("item", "batch__version").get(code=thing.code)

    def batch(self, thing):
        return Batch.objects.get(code=f"B-{thing.code}")

    def used(self, thing, source):
        rows = Movement.objects.standing().filter(kind="used", lot__code=source.code)
        return rows.filter(batch__code=f"B-{thing.code}").first()

    # -- one deed

    def seldom(self, rule):
        """What is always possible and seldom matters is not done without end."""
        return self.often[rule] < MOST_OF_ONE_KIND

    def when(self, days, who="owner", reason=WHY):
        on = self.today + timedelta(days=days)
        return {"on": on, "by": self.people[who], "reason": reason}

    def attempt(self, rule, says, call, act, exits=(), effect=None, honest=False):
        """Do it; what leaves must be fit by the model, and what is fit must leave.

        ``exits`` are (thing, purpose, owner's act); ``honest`` that nothing else stands
        in the way: the day is not dated back and there is enough of it.
        """
        on, who = act["on"], act["by"].username
        told = f"{len(self.told) + 1}. {on:%d %b} {who}: {says}"
        unfit = [
            why
            for thing, purpose, own in exits
            for why in self.model.unfit(thing, purpose, on, own)
        ]
        try:
            result = call()
        except Refused as no:
            self.told.append(f"{told} -- refused: {no}")
            counted["refused"][rule] += 1
            if honest and not unfit and on >= self.latest and self.clear(exits, on):
                self.fault("this was fit by the rules, and refused")
            return None
        self.told.append(told)
        counted["done"][rule] += 1
        self.often[rule] += 1
        if unfit:
            self.fault("; ".join(dict.fromkeys(unfit)))
        self.model.turn += 1
        self.latest = max(self.latest, on)
        if effect is not None:
            effect(result)
        return result

    def clear(self, exits, on):
        return not any(self.model.murky(thing, on) for thing, _, _ in exits)

    def can_undo(self, back):
        """Remember the deed just done, and what it means to take it back."""
        self.undoable.append((Deed.objects.latest("pk"), back))

    # -- goods that come

    def bring(self, role, grams=20000, *, on=None, readings=(), status=""):
        """A purchase, and what the model knows of it."""
        names = {
            "oil": ("rapeseed oil", {"category": "oil"}),
            "alkali": ("caustic flakes", {"category": "alkali", "alkali": "KOH"}),
            "water": ("distilled water", {"category": "water"}),
            "fragrance": ("lavender", {"category": "fragrance"}),
            "acid": ("citric acid", {"category": "acid", "acid": "citric"}),
            "packaging": ("bottle 250", {"kind": "packaging", "unit": "piece"}),
            "soap": ("bought paste", {"category": "soap"}),
            "nameless": ("grey powder", {}),
        }
        values = {"oil": ("saponification value", "187"), "alkali": ("purity", "0.9")}
        values["acid"] = ("purity", "1")
        name, facts = names[role]
        code, on = self.next_code(role[0].upper()), on or self.today
        if role in values:
            what, value = values[role]
            readings = (*readings, Reading(what, Decimal(value), "stated"))
        new = NewLot(Decimal(grams), code=code, readings=tuple(readings), status=status)
        line = NewLine(make.item(name, **facts), [new], price=Decimal(9))
        record_purchase(
            supplier=self.supplier, lines=[line], on=on, by=self.people["owner"]
        )
        self.model.turn += 1
        thing = Thing(code, role=role, left=Fraction(grams))
        thing.pieces = role == "packaging"
        thing.words.append((on, self.model.turn, status or "released"))
        if role in values:
            known = Fraction(values[role][1])
            thing.values.append((on, self.model.turn, known))
        self.model.things.append(thing)
        self.latest = max(self.latest, on)
        return thing

    # -- what the model remembers of a use

    def pour(self, thing, source, grams, on):
        entry = Entry(Fraction(grams), on, self.model.turn)
        thing.pours.append(Pour(source, self.model.turn, [entry]))
        source.left -= Fraction(grams)

    def unpour(self, thing):
        """All that went in is taken out again."""
        for pour, entry in list(self.model.poured(thing)):
            entry.until = self.model.turn
            pour.source.left += entry.grams
