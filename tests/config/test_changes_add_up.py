"""What a late bill changed adds up to the bill, wherever its goods went.

What came is in stock, sold or an expense of some name (IAS 2.34, 2.16); cents that are
left over go to the largest remainders (common practice, no source).
"""

from datetime import date
from decimal import Decimal as D

import pytest

from config.consequences import watched
from production.buying.actions.purchases import add_extra_cost
from production.lots.actions.lot_deeds import discard
from production.record.reads.restated import OF
from tests import make

pytestmark = pytest.mark.django_db


def charged(line, amount="60.00"):
    kind = "credit" if D(amount) < 0 else "freight"
    facts = {"purchase": line.purchase, "kind": kind, "amount": D(amount)}
    facts |= {"on": date(2026, 2, 10), "by": make.owner()}

    def act():
        return add_extra_cost(**facts)

    return watched(OF.PURCHASE, line.purchase, act)[1]


def adds_up(changes, bill):
    """The words as they are printed, added by hand."""
    sums = D(0)
    for _, money, which in changes["totals"]:
        if not money.startswith("under"):
            sums += D(money) if which == "more" else -D(money)
    assert sums == D(bill)


def test_what_trials_hold_and_lost_is_part_of_it():
    """10.00 of freight on 1,000 g: 300 g sold, 100 g discarded, 200 g in a trial, of
    which half is poured away, 400 g left."""
    oil = make.lot("OIL", grams="1000", price="10", on=date(2026, 1, 5))
    act = {"on": date(2026, 1, 20), "by": make.owner()}
    make.sale(oil, "300", on=date(2026, 1, 20))
    discard(lot=oil, amount=D(100), reason="rancid", **act)
    trial = make.batch(
        "finishing",
        uses=[(oil, "200")],
        makes="finished soap",
        amount="200",
        code="TRY-1",
        trial=True,
        on=date(2026, 1, 15),
    )
    discard(lot=trial, amount=D(100), reason="too soft", **act)
    changes = charged(oil.line, "10.00")
    told = {name: money for name, money, _ in changes["totals"]}
    assert told == {
        "goods sold": "3.00",
        "stock": "4.00",
        "losses, samples and gifts": "1.00",
        "trials not accepted": "2.00",
    }
    adds_up(changes, "10.00")


@pytest.mark.parametrize("bill", ["60.00", "0.05", "-1.01"])
def test_thirds_of_a_cent_add_up_to_the_bill(bill):
    """Of 700 g go 100 g each to sale, gift, trial and bin: sevenths of the bill."""
    oil = make.lot("OIL", grams="700", price="10", on=date(2026, 1, 5))
    act = {"on": date(2026, 1, 20), "by": make.owner()}
    make.sale(oil, "100", on=date(2026, 1, 20))
    discard(lot=oil, amount=D(100), reason="rancid", **act)
    make.batch(
        "finishing", uses=[(oil, "100")], amount="100", trial=True, on=date(2026, 1, 15)
    )
    adds_up(charged(oil.line, bill), bill)
