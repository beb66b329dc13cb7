"""Where the bottles of the demo are sold, and what is asked for them there."""

from datetime import date
from decimal import Decimal

from config.demo.people import INES, People
from costing.actions.prices import add_channel, set_price, set_target
from production.models import Item

# As the sales of the year name them. All invented: fees, shares and taxes too.
CHANNELS = (
    {
        "name": "Saturday stall",
        "kind": "retail",
        "stall_fee": Decimal(24),
        "pieces_a_day": Decimal(8),
        "payment": Decimal("0.026"),
        "payment_fixed": Decimal("0.10"),
        "step": Decimal("0.50"),
    },
    {
        "name": "The Tin Lantern",
        "kind": "retail",
        "consignment": Decimal("0.35"),
        "step": Decimal("0.50"),
    },
    {
        "name": "wholesale",
        "kind": "wholesale",
        "shipping": Decimal("11.50"),
        "pieces_per_order": Decimal(10),
        "step": Decimal("0.05"),
    },
)
EIGHT, SIXTEEN, FOAMER = (
    "Tideline 8 fl oz",
    "Tideline 16 fl oz",
    "Slipway 8 fl oz foamer",
)
OPENED, DEARER = date(2026, 1, 20), date(2026, 9, 1)
# Of which product, where, from when, and what is asked.
PRICES = (
    (EIGHT, "Saturday stall", OPENED, "14.00"),
    (SIXTEEN, "Saturday stall", OPENED, "24.00"),
    (FOAMER, "Saturday stall", OPENED, "12.00"),
    (EIGHT, "The Tin Lantern", OPENED, "14.00"),
    (SIXTEEN, "The Tin Lantern", OPENED, "24.00"),
    (FOAMER, "The Tin Lantern", OPENED, "12.00"),
    (EIGHT, "wholesale", OPENED, "6.75"),
    (SIXTEEN, "wholesale", OPENED, "12.00"),
    (FOAMER, "wholesale", OPENED, "6.00"),
    (EIGHT, "wholesale", DEARER, "7.00"),
)
WANTED = Decimal("0.36")


def write_prices(people: People, on: date) -> None:
    """The price list of the year, with one price that went up in autumn."""
    channels = {facts["name"]: add_channel(**facts) for facts in CHANNELS}
    ines = people[INES]
    for name, channel, since, price in PRICES:
        set_price(
            item=Item.objects.get(name=name),
            channel=channels[channel],
            valid_from=since,
            price=Decimal(price),
            on=on,
            by=ines,
        )
    set_target(margin=WANTED, on=on, by=ines)
