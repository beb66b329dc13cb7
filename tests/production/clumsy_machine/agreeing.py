"""What is asked of the book after each deed, and of its pages at the end."""

import re
from fractions import Fraction

from production.models import Lot
from tests.production.clumsy_machine import book
from tests.production.clumsy_machine.worth import Purse

# Value is kept in whole billionths; a long way of roundings stays far below this.
DUST = Fraction(1, 10**5)
MOST_PAGES = 4


class Agreeing:
    def agree(self, act):
        """Everything that a deed may have changed is as the maker means it."""
        if says := self.model.unsound():
            self.fault(f"this cannot be, and was written: {says}")
        self.same("what stands where", self.model.amounts(), book.amounts())
        touched = sorted(act.lots & set(book.on_hand()))
        for code in touched[:MOST_PAGES]:
            self.agree_on_family(code)
        self.agree_on_pots(act)
        self.agree_on_costs()

    def same(self, what, meant, found):
        if meant != found:
            self.fault(f"{what}: she means {_told(meant)}, the book {_told(found)}")

    def near(self, what, meant, found):
        both = meant is not None and found is not None
        if (meant is None) != (found is None) or (both and abs(meant - found) > DUST):
            self.fault(f"{what}: she means {_told(meant)}, the book {_told(found)}")

    def agree_on_family(self, code):
        lots, _ = self.model.ahead(code)
        family = book.Family(code)
        self.same(f"what {code} is in", lots, family.ahead)
        edges = self.model.edges().items()
        meant = {pair: amount for pair, amount in edges if code in pair}
        self.same(f"what went into and out of {code}", meant, family.edges)
        self.same(f"what is unaccounted for of {code}", 0, book.unaccounted(code))
        kept = {}
        for (who, lot), amount in self.model.who_has().items():
            if lot in {code, *lots}:
                kept[who] = kept.get(who, 0) + amount
        self.same(f"who has {code}", kept, family.holders)

    def agree_on_pots(self, act):
        codes = {one for one in act.about if isinstance(one, str)}
        for pot in self.model.pots.values():
            if pot.code not in codes:
                continue
            inside = {}
            for entry in self.model.inside(pot):
                inside[entry.lot] = inside.get(entry.lot, 0) - entry.now
            self.same(f"what is in {pot.code}", inside, book.in_pot(pot.code))
            self.same(
                f"the losses of {pot.code}",
                self.model.losses(pot),
                book.losses(pot.code),
            )

    def agree_on_costs(self):
        purse, costs = Purse(self.model), book.Costs()
        self.same("what the book's money is off by", 0, costs.off())
        for code in self.model.things:
            if not self.model.started(code):
                continue
            meant = purse.of(code)
            self.near(f"what one of {code} cost", meant.unit, costs.unit(code))
            if meant.unit is not None:
                self.near(
                    f"what was lost in making {code}",
                    meant.abnormal,
                    costs.abnormal(code),
                )
        for pot in self.model.pots.values():
            if self.model.is_open(pot):
                self.near(
                    f"what {pot.code} holds in money",
                    purse.inside(pot),
                    costs.inside(pot.code),
                )
            elif (made := self.model.making(pot)) and pot.act.stands:
                meant = self.model.expected(pot)
                self.near(f"expected of {pot.code}", meant, costs.expected(made.lot))

    def agree_on_pages(self):
        """The lists, and where each of the last few lots went."""
        found = {
            row.code: Fraction(row.on_hand) for row in book.listed(self.desk, "lots")
        }
        meant = dict.fromkeys(found, Fraction(0))
        for (lot, _), amount in self.model.amounts().items():
            meant[lot] += amount
        self.same("the list of lots", meant, found)
        sales = sorted(row.number for row in book.listed(self.desk, "sales"))
        self.same("the list of sales", self.model.sale_numbers(), sales)
        bills = sorted(
            (row.supplier.name, row.number)
            for row in book.listed(self.desk, "purchases")
        )
        self.same("the list of purchases", self.model.bill_numbers(), bills)
        inside = [lot for lot, _ in self.model.in_open_pots()]
        for code in [*self.model.things, *inside][-MOST_PAGES:]:
            if Lot.objects.filter(code=code).exists():
                self.agree_on_where_it_went(code)

    def agree_on_where_it_went(self, code):
        page = book.page_of_where_it_went(self.desk, code)
        lots, pots = self.model.ahead(code)
        asked = lots | pots
        if missing := sorted(o for o in asked if not re.search(rf"\b{o}\b", page)):
            self.fault(f"where {code} went does not name {', '.join(missing)}")


def _told(value):
    if isinstance(value, dict):
        rows = sorted(value.items(), key=str)
        return "{" + ", ".join(f"{key}: {_told(one)}" for key, one in rows) + "}"
    return f"{float(value):g}" if isinstance(value, Fraction) else str(value)
