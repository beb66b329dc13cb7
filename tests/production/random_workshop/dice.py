"""Choices read from plain numbers, and how a refusal is seen to write nothing."""

from decimal import Decimal

from django.apps import apps
from django.db import connection


class Nothing(Exception):
    """There is nothing yet that this step could be done with."""


class Dice:
    """The numbers of one step, read one after another, and round again."""

    def __init__(self, numbers):
        self.numbers, self.at = numbers, 0

    def roll(self, sides):
        self.at += 1
        return self.numbers[self.at % len(self.numbers)] // self.at % sides

    def one(self, things):
        things = list(things)
        if not things:
            raise Nothing
        return things[self.roll(len(things))]

    def chance(self, of):
        return self.roll(of) == 0

    def cents(self, most):
        return Decimal(self.roll(most)) / 100


def rounded(item, amount):
    """Milligrams, or whole pieces."""
    step = Decimal(1) if item.unit == "piece" else Decimal("0.001")
    return Decimal(amount).quantize(step)


def digest():
    """How many rows every table has, and what the book and the codes add up to."""
    tables = [model._meta.db_table for model in apps.get_models()]
    sums = [f'(SELECT COUNT(*) FROM "{table}")' for table in sorted(tables)]
    sums.append("(SELECT SUM(amount) FROM production_movement)")
    sums.append("(SELECT SUM(last) FROM production_codeseries)")
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {', '.join(sums)}")
        return cursor.fetchone()
