"""Channels, prices and bottles for the tests of pages about prices."""

from decimal import Decimal as D

from costing.actions.prices import add_channel, set_price, set_target
from tests import make


def channel(name="Stall", **facts):
    return add_channel(name=name, **facts)


def priced(item, channel, price="9.00", valid_from=None, **facts):
    return set_price(
        item=item,
        channel=channel,
        price=None if price is None else D(price),
        valid_from=valid_from or make.DAY,
        **make.act(**facts),
    )


def target(margin="0.60", item=None):
    return set_target(
        item=item, margin=None if margin is None else D(margin), **make.act()
    )


def bottled(
    code, makes="hand wash", *, soap="12.25", packaging="7.80", net="245", **facts
):
    """Ten bottles: 245 g each of soap at so much for 2450 g, and their packaging."""
    thin = make.lot(f"T-{code}", grams="2450", price=soap)
    bottles = make.bottles(f"B-{code}", pieces="10", price=packaging)
    return make.batch(
        "filling",
        uses=[(thin, "2450"), (bottles, "10")],
        makes=makes,
        amount="10",
        unit="piece",
        code=code,
        net_mass=net,
        **facts,
    )
