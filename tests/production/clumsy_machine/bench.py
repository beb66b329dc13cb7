"""Where the machine stands: who acts, how a deed is tried and what it is held to."""

from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from itertools import count

from django.db import transaction
from django.test import Client
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize

from production.quantities.domain.refusal import Refused
from production.workshop.actions.cards import ensure_place
from tests import make
from tests.production.clumsy_machine import book
from tests.production.clumsy_machine.agreeing import Agreeing
from tests.production.clumsy_machine.model import Act, Entry, Model, Thing
from tests.production.writing import typed

FIRST = date(2026, 3, 9)
WHY = "it was so"
PICK = st.integers(0, 60)
SHARE = st.sampled_from((1, 1, 2, 2, 3, 5, 7))
DAYS = st.sampled_from((0, 0, 0, 0, 0, 1, 1, -1, -3))
PLACES = ("workshop", "stall crate")

counted = {"done": Counter(), "refused": Counter()}


class Fault(AssertionError):
    """The book and the maker do not mean the same; with the deeds that led here."""


@dataclass
class Sent:
    """A form that was sent, and how another figure under its key would look."""

    act: Act
    call: Callable
    facts: dict
    other: Callable


class Bench(Agreeing, RuleBasedStateMachine):
    """Each example is a book of its own, rolled back at its end."""

    def __init__(self):
        super().__init__()
        self.atomic = None
        self.model = Model()
        self.today = self.latest = FIRST
        self.told, self.serials, self.often = [], Counter(), Counter()
        self.deeds, self.rows = {}, {}
        self.sent, self.gone = [], []
        self.keys = count(1)

    @initialize()
    def a_new_book(self):
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.owner = make.owner()
        self.desk = Client()
        self.desk.force_login(self.owner)
        self.places = {name: ensure_place(name) for name in PLACES}
        self.quiet = True
        self.begin()
        self.quiet = False

    def teardown(self):
        if self.atomic is None:
            return
        try:
            if self.told and not self.told[-1].startswith("FAULT"):
                self.agree_on_pages()
        finally:
            transaction.set_rollback(True)
            self.atomic.__exit__(None, None, None)

    def fault(self, says):
        self.told.append(f"FAULT: {says}")
        raise Fault("\n".join(self.told))

    # -- what there is

    def serial(self, letter):
        self.serials[letter] += 1
        return f"{letter}{self.serials[letter]}"

    def pick(self, number, things):
        things = list(things)
        return things[number % len(things)] if things else None

    def here(self, *names, place="workshop", least=1):
        """Things with something left at a place, the newest first."""
        return [
            one
            for one in self.model.here()
            if (not names or one.name in names)
            and self.model.left(one.code, place) >= least
        ]

    def part(self, thing: Thing, share, place="workshop"):
        """A part of what is left, whole; at least one."""
        left = self.model.left(thing.code, place)
        return max(1, int(left * share / 10))

    def when(self, days=0):
        on = self.today + timedelta(days=days)
        if days > 0:
            self.today = on
        return {"on": on, "by": self.owner, "reason": WHY}

    # -- one deed

    def seldom(self, rule, most):
        """What is always possible is not done without end."""
        return self.often[rule] < most

    def attempt(self, rule, says, call, facts, effect, *, must=False, other=None):
        """Do it, and hold the book against what it means.

        ``effect`` writes into the model what was meant and gives its act; ``must``:
        nothing stands in the way, so that a refusal is a fault. ``other`` makes another
        content of the facts, for the same form sent again.
        """
        on = facts["on"]
        facts = {**facts, "key": f"form-{next(self.keys)}"}
        told = f"{len(self.told) + 1}. {on:%d %b}: {says}"
        before = book.digest()
        try:
            result = call(**facts)
        except Refused as no:
            self.told.append(f"{told} -- refused: {no}")
            counted["refused"][rule] += 1
            if book.digest() != before:
                self.fault("this was refused, and something was written")
            if must and on >= self.latest:
                self.fault("nothing stands in the way of this, and it was refused")
            return None
        self.told.append(told)
        counted["done"][rule] += 1
        self.often[rule] += 1
        self.latest = max(self.latest, on)
        act = effect(result)
        self.deeds[act] = book.signed(facts["key"])
        mine = [entry for entry in self.model.entries if entry.act is act]
        for entry, row in zip(mine, book.rows_of(self.deeds[act]), strict=False):
            self.rows[entry] = row
        if other is not None:
            self.sent.append(Sent(act, call, facts, other))
        if not self.quiet:
            self.agree(act)
        return result

    def by_page(self, rule, says, url, written, effect, days):
        """Open a page, write into it, send it: as ``attempt``, from the outside."""
        sent = {}

        def call(on, by, reason, key):
            self.deed_day = on
            first = typed(self.desk.get(url))
            sent.update(written(first) | {"on": str(on), "reason": reason, "key": key})
            answer = self.desk.post(url, sent)
            if answer.status_code == 302:
                return answer
            form = answer.context["form"]
            rows = [row.errors for name in form.rows for row in form.rows[name]]
            raise Refused(f"{dict(form.errors)} {[row for row in rows if row]}")

        self.attempt(rule, says, call, self.when(days), effect, must=True)

    def entry(self, act, thing, amount, kind, on, **facts) -> Entry:
        code = thing if isinstance(thing, str) else thing.code
        order = len(self.model.entries)
        return self.model.enter(
            act, code, Fraction(amount), kind, on=on, order=order, **facts
        )

    def row(self, entry):
        """The row of the book in which this entry stands now, or None."""
        with suppress(KeyError):
            return book.standing_row(self.rows[entry])

    def enough(self, *pairs, place="workshop"):
        return all(self.model.left(one.code, place) >= amount for one, amount in pairs)
