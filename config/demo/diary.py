"""The year as a diary: entries from every noun, written day by day."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

from production.actions import Use
from production.models import Item, Lot, Place

Act = Callable[[date], object]


class Diary:
    """Collects what is done on which day; a day's entries keep their order."""

    def __init__(self):
        self._entries: list[tuple[date, Act]] = []

    def on(self, day: date, act: Act) -> None:
        self._entries.append((day, act))

    def write(self) -> None:
        for day, act in sorted(self._entries, key=lambda entry: entry[0]):
            act(day)


def day(month: int, number: int) -> date:
    """A day of the invented year."""
    return date(2026, month, number)


def item(name: str) -> Item:
    return Item.objects.get(name=name)


def lot(code: str) -> Lot:
    return Lot.objects.select_related("item", "batch__version").get(code=code)


def place(name: str) -> Place:
    return Place.objects.get(name=name)


def use(code: str, amount: str, surplus: str = "0") -> Use:
    return Use(lot=lot(code), amount=Decimal(amount), surplus=Decimal(surplus))


def from_tap(name: str, amount: str) -> Use:
    return Use(item=item(name), amount=Decimal(amount))
