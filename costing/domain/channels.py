"""What a way of selling takes of a price, and which price it needs.

A channel's percentage and a shop's share on consignment are of the price without sales
tax; a payment fee is of all that is paid, tax included (common practice, no source: a
contract that says otherwise is entered as the percentage that comes to the same).
What is fixed for an order is shared by the pieces of an order, a stall's fee by the
pieces of a day. What selling costs is no part of what goods cost as stock (IAS
2.16(d)), so it stands here and never in a lot.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from costing.domain.pricing import (
    CENT,
    ONE,
    ZERO,
    Figure,
    Step,
    below_the_whole,
    contribution_ratio,
    in_percent,
    margin_of,
    variable_cost,
)
from production.quantities.domain.refusal import Refused

# The order of the picture: what goes to others first, the cost, what is left.
TAKEN = (
    "sales tax",
    "shop's share",
    "channel",
    "payment",
    "order",
    "shipping",
    "stall",
)


@dataclass(frozen=True, slots=True)
class Channel:
    """Shares are fractions of one; sums are in currency.

    ``percent``, ``consignment`` of the price without tax; ``payment`` of what is paid.
    ``fixed``, ``shipping``, ``payment_fixed`` are for one order of ``pieces_per_order``
    pieces, ``stall_fee`` for a day of ``pieces_a_day``. ``tax_inside``: a price that is
    said has the tax in it, else it comes on top.
    """

    name: str = ""
    percent: Fraction = ZERO
    consignment: Fraction = ZERO
    payment: Fraction = ZERO
    fixed: Fraction = ZERO
    shipping: Fraction = ZERO
    payment_fixed: Fraction = ZERO
    pieces_per_order: Fraction = ONE
    stall_fee: Fraction = ZERO
    pieces_a_day: Fraction = ONE
    tax: Fraction = ZERO
    tax_inside: bool = False
    step: Step = CENT

    def __post_init__(self) -> None:
        if self.pieces_per_order <= 0:
            raise Refused("An order has at least one piece: say how many are usual.")
        if self.stall_fee and self.pieces_a_day <= 0:
            raise Refused("Say how many pieces a day at the stall sells, at least one.")
        if self.leaves <= 0:
            raise Refused(
                f"{self.name or 'This channel'} takes {in_percent(1 - self.leaves)} of "
                "every price, so that nothing is left for the cost. Look at its "
                "percentages again."
            )

    @property
    def leaves(self) -> Fraction:
        """Of 1 without tax, after every percentage; what is fixed still to come."""
        return 1 - self.percent - self.consignment - self.payment * (1 + self.tax)

    @property
    def fixed_each(self) -> Fraction:
        """What a piece costs in it whatever its price."""
        order = (
            self.fixed + self.shipping + self.payment_fixed
        ) / self.pieces_per_order
        return order + (self.stall_fee / self.pieces_a_day if self.stall_fee else ZERO)

    def net(self, price: Figure) -> Fraction:
        """The price that is said, without sales tax."""
        price = Fraction(price)
        return price / (1 + self.tax) if self.tax_inside else price

    def said(self, net: Fraction) -> Fraction:
        """The price that is said, of one without tax."""
        return net * (1 + self.tax) if self.tax_inside else net

    def taken(self, price: Figure) -> dict[str, Fraction]:
        """What each hand takes of a price that is said, by the names in ``TAKEN``."""
        net, each = self.net(price), self.pieces_per_order
        paid = net * (1 + self.tax)
        found = {
            "sales tax": Fraction(price) - net,
            "shop's share": self.consignment * net,
            "channel": self.percent * net,
            "payment": self.payment * paid + self.payment_fixed / each,
            "order": self.fixed / each,
            "shipping": self.shipping / each,
            "stall": self.stall_fee / self.pieces_a_day if self.stall_fee else ZERO,
        }
        return {name: found[name] for name in TAKEN if found[name]}

    def price_for_margin(self, cost: Figure, margin: Figure) -> Fraction:
        """The exact price that leaves this margin after the channel's costs.

        The margin is of the price without tax. Without any channel cost this is
        cost / (1 - margin). Refused where the channel leaves less than the margin.
        """
        wanted = below_the_whole(margin)
        if wanted >= self.leaves:
            raise Refused(
                f"{self.name or 'This channel'} leaves {in_percent(self.leaves)} of a "
                f"price, so that a margin of {in_percent(wanted)} cannot be had there "
                "at any price. Want less, or sell it elsewhere."
            )
        return self.said((Fraction(cost) + self.fixed_each) / (self.leaves - wanted))

    def price_for_markup(self, cost: Figure, markup: Figure) -> Fraction:
        """The exact price that leaves the cost and this part of it once more."""
        wanted = Fraction(cost) * (1 + Fraction(markup))
        return self.said((wanted + self.fixed_each) / self.leaves)


@dataclass(frozen=True, slots=True)
class Sold:
    """One piece sold at a price in a channel: who takes what, and what is left.

    ``cost`` is its whole unit cost, ``variable`` that without overhead. ``taken`` and
    ``variable`` and ``contribution`` add up to ``price``.
    """

    price: Fraction
    net: Fraction
    taken: Mapping[str, Fraction]
    cost: Fraction
    variable: Fraction

    @property
    def selling(self) -> Fraction:
        """What the channel takes, without sales tax."""
        return sum(self.taken.values(), ZERO) - (self.price - self.net)

    @property
    def contribution(self) -> Fraction:
        """What is left for fixed costs and profit: variable cost alone goes off it."""
        return self.net - self.selling - self.variable

    @property
    def ratio(self) -> Fraction:
        """The contribution as a share of the price without tax."""
        return contribution_ratio(self.contribution, self.net)

    @property
    def margin(self) -> Fraction:
        """After the whole cost and the channel, of the price without tax."""
        return margin_of(self.cost + self.selling, self.net)

    def per_hour(self, hours: Fraction | None) -> Fraction | None:
        """Contribution for an hour of work, its wage already paid; None: not known."""
        return self.contribution / hours if hours else None


def sold(channel: Channel, price: Figure, parts: Mapping[str, Fraction]) -> Sold:
    """``parts`` is the unit cost by component."""
    price = Fraction(price)
    if price <= 0:
        raise Refused("A price is more than nothing.")
    return Sold(
        price=price,
        net=channel.net(price),
        taken=channel.taken(price),
        cost=sum(parts.values(), ZERO),
        variable=variable_cost(parts),
    )
