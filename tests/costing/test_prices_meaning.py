"""What a maker means by a price, its slip and its mending, beside the book.

The small model here keeps a list of what stands and asks it alone; it reads no table.
"""

from datetime import timedelta
from decimal import Decimal as D

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from costing.models.prices import Channel, Price
from costing.reads.prices import prices_on
from production.correcting.actions.undoing import undo_deed
from production.quantities.domain.refusal import Refused
from tests import make
from tests.costing.selling import channel, priced

DAYS = st.integers(0, 9)
ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("set"), st.integers(0, 1), DAYS, st.integers(1, 9)),
        st.tuples(st.just("end"), st.integers(0, 1), DAYS, st.none()),
        st.tuples(st.just("undo"), st.integers(0, 20), st.none(), st.none()),
    ),
    max_size=12,
)


def meant(standing, shop, day):
    """The price of the latest day that has come, of one day the last that was said."""
    said = [one for one in standing if one[1] == shop and one[2] <= day]
    if not said:
        return None
    return max(enumerate(said), key=lambda pair: (pair[1][2], pair[0]))[1][3]


@pytest.mark.django_db
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=ACTS)
def test_every_day_has_the_price_that_was_meant(acts):
    item = make.item("hand wash", kind="made", unit="piece")
    shops = [
        Channel.objects.filter(name=name).first() or channel(name)
        for name in ("Stall", "Shop")
    ]
    for row in Price.objects.all():
        undo_deed(undone=row.deed, **make.act())
    standing, rows = [], {}
    for number, (act, shop, day, price) in enumerate(acts):
        if act == "undo":
            if standing:
                gone = standing.pop(shop % len(standing))
                undo_deed(undone=rows[gone[0]].deed, **make.act())
            continue
        told = (number, shop, day, price)
        amount = None if price is None else D(price)
        since = make.day(1) + timedelta(days=day)
        try:
            rows[number] = priced(item, shops[shop], amount, since)
        except Refused:
            assert not [one for one in standing if one[1] == shop and one[2] <= day]
        else:
            standing.append(told)
    for day in range(10):
        found = prices_on(make.day(1) + timedelta(days=day))
        for place, shop in enumerate(shops):
            row = found.get((item.pk, shop.pk))
            assert (row.price if row else None) == meant(standing, place, day)
