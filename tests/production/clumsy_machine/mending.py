"""What is put right: entries corrected, deeds taken back, forms sent again."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.correcting.actions.entries import correct_movement, reverse_movement
from production.correcting.actions.undoing import undo_deed
from production.quantities.domain.refusal import Refused
from tests.production.clumsy_machine import book
from tests.production.clumsy_machine.bench import DAYS, PICK, counted

CORRECTED = ("received", "opening", "used", "made", "discarded")
STRUCK = ("received", "opening", "used", "made", "discarded", "counted", "given")
WRONG_BY = st.sampled_from((Fraction(11, 10), Fraction(9, 10), Fraction(1, 2)))
LATEST = 12


class Mending:
    def lately(self, *kinds):
        """Entries that stand, of the last few deeds."""
        rows = [e for e in self.model.each(*kinds) if e in self.rows]
        return rows[:LATEST]

    @rule(n=PICK, times=WRONG_BY, days=DAYS)
    def correct(self, n, times, days):
        """The amount was mistyped."""
        entry = self.pick(n, self.lately(*CORRECTED))
        if entry is None or entry.sale is not None:
            return
        pot = self.model.pots.get(entry.batch)
        step = 250 if pot is not None and pot.loss is not None else 1
        amount = int(abs(entry.now) * times) // step * step
        row = self.row(entry)
        if amount < 1 or amount == abs(entry.now) or row is None:
            return
        signed = Fraction(amount if entry.amount > 0 else -amount)

        def effect(_):
            deed = self.model.act(says)
            self.mends(deed, entry)
            entry.fixes.append((deed, signed))
            return deed

        says = f"corrects {entry.kind} of {entry.lot} to {amount}"
        self.attempt(
            "correct",
            says,
            correct_movement,
            {"movement": row, "amount": Decimal(amount), **self.when(days)},
            effect,
            must=self.would_be_sound(entry, signed),
            other=lambda sent: {**sent, "amount": sent["amount"] + 1},
        )

    def mends(self, deed, entry):
        deed.lots.add(entry.lot)
        deed.about |= {one for one in (entry.batch, entry.sale) if one}

    def would_be_sound(self, entry, signed):
        """Whether the book can hold the correction, and its pot still fits."""
        trial = self.model.act("on trial")
        entry.fixes.append((trial, signed))
        try:
            pot = self.model.pots.get(entry.batch)
            fits = pot is None or self.model.fits(pot)
            return not self.model.unsound() and fits and not self.weighed(entry.lot)
        finally:
            entry.fixes.pop()
            self.model.acts.pop()

    def weighed(self, lot):
        return any(e.kind in ("reweighed", "returned") for e in self.model.course(lot))

    @rule(n=PICK, days=DAYS)
    def strike(self, n, days):
        """An entry that should not be there is taken back."""
        entry = self.pick(n, self.lately(*STRUCK))
        if entry is None or entry.sale is not None:
            return
        row = self.row(entry)
        if row is None:
            return

        def effect(_):
            deed = self.model.act(says)
            self.mends(deed, entry)
            entry.struck.append(deed)
            return deed

        says = f"takes back the entry: {entry.kind} {abs(entry.now)} of {entry.lot}"
        self.attempt(
            "take back an entry",
            says,
            reverse_movement,
            {"movement": row, **self.when(days)},
            effect,
        )

    @rule(n=PICK, days=DAYS)
    def undo(self, n, days):
        """A whole deed is taken back, a correction too."""
        lately = [
            act for act in self.model.acts[4:] if act.stands and act in self.deeds
        ]
        act = self.pick(n, reversed(lately[-LATEST:]))
        if act:
            self.undo_it(act, days)

    def undo_it(self, act, days):
        free = not self.model.resting_on(act)

        def effect(_):
            deed = self.model.act(says, *act.about)
            deed.lots |= act.lots
            act.taken_back.append(deed)
            if again := getattr(act, "again", None):
                self.gone.append(again)
            return deed

        says = f"takes back: {act.says}"
        self.attempt(
            "undo",
            says,
            undo_deed,
            {"undone": self.deeds[act], **self.when(days)},
            effect,
            must=free and not self.taken_things_back(act),
        )

    def taken_things_back(self, act):
        """What was taken back is not brought back, but entered again."""
        return any(act in one.taken_back for one in self.model.acts)

    @rule(n=PICK, times=WRONG_BY, days=DAYS)
    def correct_and_think_better_of_it(self, n, times, days):
        """She corrects an entry, and takes the correction back at once."""
        before = len(self.model.acts)
        self.correct(n, times, days)
        if len(self.model.acts) > before:
            self.undo_it(self.model.acts[-1], days)

    # -- forms that are sent twice

    @rule(n=PICK)
    @precondition(lambda self: self.sent)
    def send_again(self, n):
        """A double click, or Back and send: answered, and nothing is written."""
        sent = self.sent[-1 - n % min(len(self.sent), LATEST)]
        before = book.digest()
        try:
            sent.call(**sent.facts)
        except Refused as no:
            if sent.act.stands:
                self.told.append(f"sends again: {self.named_form(sent)} -- {no}")
                self.fault("the same form, sent twice, is not answered")
        counted["done"]["send again"] += 1
        if book.digest() != before:
            self.told.append(f"sends again: {self.named_form(sent)}")
            self.fault("the same form, sent twice, wrote twice")

    @rule(n=PICK)
    @precondition(lambda self: self.sent)
    def send_another_under_its_key(self, n):
        """Back, another figure, and send: asked about, and nothing is written."""
        sent = self.sent[-1 - n % min(len(self.sent), LATEST)]
        before = book.digest()
        try:
            sent.call(**sent.other(sent.facts))
        except Refused:
            counted["refused"]["send another"] += 1
        else:
            self.told.append(f"sends another figure: {self.named_form(sent)}")
            self.fault("other content under a known key was answered")
        if book.digest() != before:
            self.fault("other content under a known key was written")

    def named_form(self, sent):
        return f"{sent.call.__name__} with the key {sent.facts['key']}"
