"""What the book says, asked through its reads and its pages; nothing is added up here
that the house adds up itself."""

from fractions import Fraction

from django.apps import apps
from django.db import connection
from django.urls import reverse

from costing.domain.rollup import difference
from costing.reads import whole_book
from production.models import Batch, Deed, Loss, Lot, Movement
from production.tracing.reads.family import holders, lot_balance, stands
from production.tracing.reads.trace import trace
from production.yields.reads import outturn

NANO = 10**9


def amounts():
    """What stands of each lot at each place."""
    return {
        (code, place): Fraction(amount)
        for place, code, amount in stands(Lot.objects.all())
    }


def on_hand():
    return {lot.code: Fraction(lot.on_hand) for lot in Lot.objects.with_on_hand().all()}


class Family:
    """Where one lot came from and went, and who has some of it."""

    def __init__(self, code):
        found = trace(Lot.objects.get(code=code))
        self.ahead = set(found.forward)
        self.edges = {
            (row.source, row.target): Fraction(row.amount)
            for row in found.edges
            if code in (row.source, row.target)
        }
        kept = {row.name: Fraction(row.kept) for row in holders(found.deliveries)}
        self.holders = {name: amount for name, amount in kept.items() if amount}


def unaccounted(code):
    return Fraction(lot_balance(Lot.objects.get(code=code)).difference)


def in_pot(code):
    """What went into a batch, lot by lot."""
    found = {}
    rows = Movement.objects.standing().filter(batch__code=code, kind="used")
    for lot, amount in rows.values_list("lot__code", "amount"):
        found[lot] = found.get(lot, 0) - Fraction(amount)
    return found


def losses(code):
    found = {}
    for row in Loss.objects.filter(batch__code=code):
        found[row.kind] = found.get(row.kind, 0) + Fraction(row.amount)
    return found


class Costs:
    """The whole book rolled up once."""

    def __init__(self):
        self.book = whole_book()
        self.nodes = {node.code: node for node in self.book.lots}

    def unit(self, code):
        return self.book.valuation.lots[code].unit_cost

    def abnormal(self, code):
        parts = self.book.valuation.lots[code].abnormal
        return Fraction(sum(parts.values()), NANO)

    def expected(self, code):
        found = outturn(Batch.objects.get(lot__code=code)).expected
        return None if found is None else Fraction(found)

    def inside(self, pot):
        """What an open batch holds; None while a price is missing."""
        held = self.book.valuation.in_progress.get(pot)
        if held is None:
            return Fraction(0)
        return None if held.missing else Fraction(sum(held.inside.values()), NANO)

    def off(self):
        return difference(self.book.valuation.totals)


def listed(desk, name):
    """The rows of a list, on all its pages."""
    return [row.record for row in desk.get(reverse(name)).context["table"].rows]


def page_of_where_it_went(desk, code):
    return desk.get(reverse("trace"), {"lot": code}).content.decode()


# -- the rows that mending takes hold of


def signed(key):
    """The deed that a form with this key became."""
    return Deed.objects.get(key=key)


def rows_of(deed):
    """The entries that a deed wrote, in the order of writing."""
    rows = Movement.objects.filter(deed=deed).exclude(kind="reversed")
    return list(rows.order_by("pk").values_list("pk", flat=True))


def standing_row(first):
    """What stands of the line that began with this entry, or None."""
    rows = Movement.objects.standing().select_related("lot__item", "place", "deed")
    for facts in ({"pk": first}, {"root": first}, {"rank": first}):
        if row := rows.filter(**facts).last():
            return row
    return None


def pot(code):
    return Batch.objects.get(code=code)


def lot(code):
    return Lot.objects.select_related("item").get(code=code)


def digest():
    """How many rows every table has, and what the entries add up to."""
    tables = [model._meta.db_table for model in apps.get_models()]
    sums = [f'(SELECT COUNT(*) FROM "{table}")' for table in sorted(tables)]
    sums.append("(SELECT SUM(amount) FROM production_movement)")
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(sums)}")
        return cursor.fetchone()
