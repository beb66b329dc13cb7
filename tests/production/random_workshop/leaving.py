"""What leaves a random workshop, and what its shelves are found to hold."""

from decimal import Decimal

from production import actions
from production.models import SaleLine
from tests.production.random_workshop.dice import rounded

WHY = ("sample", "tester", "gift", "own use", "retained")


class Leaving:
    def sell(self, dice):
        lines = []
        for _ in range(1 + dice.roll(2)):
            lot = self.lot(dice)
            amount, price = self.amount(dice, lot), dice.cents(1500)
            lines.append(actions.NewSaleLine(lot, amount, price, self.place(dice)))
        who = dice.one((*self.customers, None))
        channel = dice.one(("", "Saturday stall", "by post"))
        actions.sell(lines=lines, customer=who, channel=channel, **self.when(dice))

    def take_back(self, dice):
        line = dice.one(SaleLine.objects.order_by("pk"))
        actions.take_back(
            line=line,
            amount=self.amount(dice, line.lot, line.amount),
            then=dice.one(("restock", "destroy")),
            place=self.place(dice),
            **self.when(dice),
        )

    def give(self, dice):
        lot = self.lot(dice)
        actions.give(
            lot=lot,
            amount=self.amount(dice, lot, lot.on_hand / 4),
            why=dice.one(WHY),
            recipient=dice.one(("", "Cy")),
            place=self.place(dice),
            **self.when(dice),
        )

    def count(self, dice):
        lot, share = self.lot(dice), Decimal(dice.one((0, 9, 10, 10, 11))) / 10
        actions.count_lot(
            lot=lot,
            found=rounded(lot.item, lot.on_hand * share),
            place=self.place(dice),
            nobody=dice.chance(2),
            **self.when(dice),
        )

    def count_a_place(self, dice):
        place, share = dice.one(self.places), Decimal(dice.one((9, 10, 11))) / 10
        rows = place.stock.filter(amount__gt=0).select_related("lot__item")
        actions.count_place(
            place=place,
            counts=[
                actions.Found(
                    row.lot, rounded(row.lot.item, row.amount * share), nobody=True
                )
                for row in rows.order_by("pk")[: 1 + dice.roll(5)]
            ],
            **self.when(dice),
        )

    def reweigh(self, dice):
        lot, share = self.lot(dice), Decimal(dice.one((7, 9, 10, 11))) / 10
        actions.reweigh_lot(
            lot=lot,
            found=rounded(lot.item, lot.on_hand * share),
            place=self.place(dice),
            **self.when(dice),
        )

    def discard(self, dice):
        lot = self.lot(dice)
        amount = self.amount(dice, lot, lot.on_hand / 3)
        actions.discard(
            lot=lot, amount=amount, place=self.place(dice), **self.when(dice)
        )

    def move(self, dice):
        lot = self.lot(dice)
        actions.move_lot(
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
                actions.hold_lot(lot=lot, **self.when(dice))
            case 1:
                actions.reject_lot(lot=lot, **self.when(dice))
            case _:
                override = dice.chance(2)
                actions.release_lot(lot=lot, override=override, **self.when(dice))
