"""What leaves a random workshop, and what its shelves are found to hold."""

from decimal import Decimal

from production.counting.actions import Found, count_lot, count_place
from production.lots.actions import lot_deeds as stock_deeds
from production.lots.actions.lot_deeds import move_lot, reweigh_lot
from production.models import EmptyBack, Item, SaleLine
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.selling.actions import sales as sales_deeds
from production.selling.actions.deposits import look_at_empties, take_empties_back
from production.selling.actions.sales import NewSaleLine
from tests.production.random_workshop.dice import rounded

WHY = ("sample", "tester", "gift", "own use", "retained")


class Leaving:
    def sell(self, dice):
        lines = []
        for _ in range(1 + dice.roll(2)):
            lot = self.lot(dice)
            amount, price = self.amount(dice, lot), dice.cents(1500)
            deposit = dice.one((None, None, Decimal("0.5")))
            place = self.place(dice)
            lines.append(NewSaleLine(lot, amount, price, place, deposit))
        who = dice.one((*self.customers, None))
        channel = dice.one(("", "Saturday stall", "by post"))
        sales_deeds.sell(lines=lines, customer=who, channel=channel, **self.when(dice))

    def take_back(self, dice):
        line = dice.one(SaleLine.objects.order_by("pk"))
        sales_deeds.take_back(
            line=line,
            amount=self.amount(dice, line.lot, line.amount),
            then=dice.one(("restock", "destroy")),
            place=self.place(dice),
            **self.when(dice),
        )

    def take_empties(self, dice):
        """Of a line that bore a deposit, mostly as much as it was."""
        line = dice.one(SaleLine.objects.filter(deposit__gt=0).order_by("pk"))
        take_empties_back(
            item=dice.one(Item.objects.filter(unit="piece").order_by("pk")),
            amount=Decimal(dice.roll(6)),
            deposit=line.deposit,
            customer=line.sale.customer,
            channel=line.sale.channel,
            value=dice.cents(60),
            place=self.place(dice),
            **self.when(dice),
        )

    def wash(self, dice):
        back = dice.one(EmptyBack.objects.order_by("pk"))
        look_at_empties(
            lot=back.movement.lot, broken=Decimal(dice.roll(3)), **self.when(dice)
        )

    def give(self, dice):
        lot = self.lot(dice)
        stock_deeds.give(
            lot=lot,
            amount=self.amount(dice, lot, lot.on_hand / 4),
            why=dice.one(WHY),
            recipient=dice.one(("", "Cy")),
            place=self.place(dice),
            **self.when(dice),
        )

    def count(self, dice):
        lot, share = self.lot(dice), Decimal(dice.one((0, 9, 10, 10, 11))) / 10
        count_lot(
            lot=lot,
            found=rounded(lot.item, lot.on_hand * share),
            place=self.place(dice),
            nobody=dice.chance(2),
            **self.when(dice),
        )

    def count_a_place(self, dice):
        place, share = dice.one(self.places), Decimal(dice.one((9, 10, 11))) / 10
        rows = place.stock.filter(amount__gt=0).select_related("lot__item")
        count_place(
            place=place,
            counts=[
                Found(row.lot, rounded(row.lot.item, row.amount * share), nobody=True)
                for row in rows.order_by("pk")[: 1 + dice.roll(5)]
            ],
            **self.when(dice),
        )

    def reweigh(self, dice):
        lot, share = self.lot(dice), Decimal(dice.one((7, 9, 10, 11))) / 10
        reweigh_lot(
            lot=lot,
            found=rounded(lot.item, lot.on_hand * share),
            place=self.place(dice),
            **self.when(dice),
        )

    def discard(self, dice):
        lot = self.lot(dice)
        amount = self.amount(dice, lot, lot.on_hand / 3)
        stock_deeds.discard(
            lot=lot, amount=amount, place=self.place(dice), **self.when(dice)
        )

    def move(self, dice):
        lot = self.lot(dice)
        move_lot(
            lot=lot,
            amount=self.amount(dice, lot, lot.on_hand / 2),
            place=self.place(dice),
            to=dice.one(self.places),
            **self.when(dice),
        )

    def status(self, dice):
        lot = self.lot(dice)
        match dice.roll(6):
            case 0:
                hold_lot(lot=lot, **self.when(dice))
            case 1:
                reject_lot(lot=lot, **self.when(dice))
            case _:
                override = dice.chance(2)
                release_lot(lot=lot, override=override, **self.when(dice))
