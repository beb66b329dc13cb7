"""What is taken back in a random workshop."""

from datetime import timedelta

from production.closing.actions import close_book
from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.models import Deed, Movement


class Mending:
    def reverse(self, dice):
        movement = dice.one(Movement.objects.order_by("-pk")[:20])
        reverse_movement(movement=movement, **self.when(dice))

    def undo(self, dice):
        undone = dice.one(Deed.objects.order_by("-pk")[:12])
        undo_deed(undone=undone, **self.when(dice))

    def correct(self, dice):
        movement = dice.one(Movement.objects.order_by("-pk")[:30])
        amount = self.amount(dice, movement.lot, abs(movement.amount))
        moved = movement.on + timedelta(days=dice.roll(7) - 3)
        correct_movement(
            movement=movement,
            amount=amount,
            moved_to=moved if dice.chance(3) else None,
            **self.when(dice),
        )

    def close(self, dice):
        act = self.when(dice)
        through = act["on"].replace(day=1) - timedelta(days=1)
        close_book(through=through, **act)
