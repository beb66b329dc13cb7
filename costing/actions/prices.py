"""Cards of channels; what is asked for a product in one, and the margin wanted."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction

from costing.models.prices import Channel, Price, Target
from costing.reads.prices import channel_of
from production.models import Deed, Item
from production.quantities.domain.refusal import Refused
from production.record.actions.cards import change_card, save_card
from production.record.actions.deeds import deed, written


@transaction.atomic
def add_channel(*, name: str, **facts: Any) -> Channel:
    """A way of selling. Refused where its percentages leave nothing of a price."""
    channel = Channel(name=name.strip(), **facts)
    channel_of(channel)
    return save_card(channel)


@transaction.atomic
def change_channel(*, channel: Channel, **facts: Any) -> Channel:
    """Change the card. Its prices keep meaning what they meant when they were said."""
    _keep_what_prices_say(channel, facts)
    for name, value in facts.items():
        setattr(channel, name, value)
    channel_of(channel)
    return change_card(channel, facts)


def _keep_what_prices_say(channel: Channel, facts: Mapping[str, Any]) -> None:
    inside = facts.get("tax_inside", channel.tax_inside)
    if inside != channel.tax_inside and Price.objects.filter(channel=channel).exists():
        have = "with" if channel.tax_inside else "without"
        raise Refused(
            f"The prices of {channel} were said {have} sales tax and would mean "
            "something else: add a channel of its own for the others."
        )


@deed("set a price", gives=Price, moves_nothing=True)
def set_price(
    deed: Deed,
    *,
    item: Item,
    channel: Channel,
    valid_from: date,
    price: Decimal | None = None,
) -> Price:
    """Ask so much for one piece in a channel from a day on; None: no longer offered."""
    if item.unit != Item.Unit.PIECE:
        raise Refused(f"{item} is weighed and has no price for a piece.")
    if price is not None and price <= 0:
        raise Refused(
            "A price is more than nothing. Leave it open where it is not offered "
            "there any more."
        )
    standing = Price.objects.filter(item=item, channel=channel)
    if price is None and not standing.filter(valid_from__lte=valid_from).exists():
        raise Refused(
            f"{item} has no price in {channel} by then that could end: write one."
        )
    return written(
        Price(deed=deed, item=item, channel=channel, price=price, valid_from=valid_from)
    )


@deed("set a target margin", gives=Target, moves_nothing=True)
def set_target(
    deed: Deed, *, item: Item | None = None, margin: Decimal | None = None
) -> Target:
    """Want this margin of a product, or of all that have none of their own."""
    if margin is not None and not 0 <= margin < 1:
        raise Refused("A margin is a part of the price: write one below 100 %.")
    if margin is None and not Target.objects.filter(item=item).exists():
        raise Refused("There is no target that could end: write one, such as 60.")
    return written(Target(deed=deed, item=item, margin=margin))
