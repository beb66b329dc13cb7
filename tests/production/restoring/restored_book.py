"""A book that was put back from the backup of Monday, and what is said of it."""

from datetime import UTC, datetime
from decimal import Decimal as D

import pytest

from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.models import (
    CodeSeries,
    Restored,
)
from production.quantities.domain.codes import (
    next_code,
)
from production.record.actions.again import WrittenAgain
from production.restoring.actions import note_restored, say_what_happened
from production.selling.actions import sales as deeds
from production.selling.actions.sales import NewSaleLine
from tests import make
from tests.make import act, day

MONDAY = datetime(2026, 3, 2, 14, 10, tzinfo=UTC)


FRIDAY = datetime(2026, 3, 6, 9, 0, tzinfo=UTC)


def restore(taken=MONDAY, back=FRIDAY):
    return note_restored(taken_at=taken, restored_at=back)


def answer(row=None, number=6, **facts):
    row = row or Restored.objects.last()
    return say_what_happened(restored=row, **{**act(number), **facts})


def why(lot, purpose=Purpose.SALE, number=6):
    return [reason.mends for reason in fitness(lot, purpose, day(number)).reasons]


def sell(lot, number=6, code="", **facts):
    line = NewSaleLine(lot, D(1), D(9))
    facts = {"lines": [line], "channel": "stall", "number": code, **facts}
    return deeds.sell(**facts, **act(number))


def soap_of(code, **facts):
    """Soap by the gram from outside, tested."""
    return make.proven(code, item=make.item("diluted soap", kind="made"), **facts)


def asked(says):
    """A maker is asked; what the test itself had to make for it is not looked at."""
    return pytest.raises(WrittenAgain, match=says)


def code(ahead):
    """A code that the lost book had given out, so many numbers further on."""
    last = CodeSeries.objects.filter(name="lot").values_list("last", flat=True).first()
    return next_code((last or 0) + ahead)[0]
