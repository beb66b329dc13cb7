"""Counting: what differs is shown, with what it is worth, before it is written."""

from decimal import Decimal
from hashlib import sha256
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from production.counting.actions import Found
from production.counting.reads import booked_at, stakes
from production.pages.forms.deed import DeedForm
from production.pages.forms.fields import AmountField, parse_amount
from production.quantities.domain.numbers import grouped
from production.record.reads.clock import today
from production.stock.actions.posting import home_place
from production.stock.forms.lots import PlacedForm
from production.stock.models.counts import Stock

NOBODY = "none"
LOOK = "Look at what differs and what it is worth, then write it."
MISSING = "Which batch may have got what is missing"


class BatchField(forms.CharField):
    """Which batch may have got the alkali; seen only where some is missing."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", MISSING)
        super().__init__(required=False, widget=forms.HiddenInput, **kwargs)
        self.batches = {}

    def ask(self, batches):
        self.batches = {str(batch.pk): batch for batch in batches}
        named = [(key, _named(batch)) for key, batch in self.batches.items()]
        choices = [*named, (NOBODY, "none of them: it was spilt, or misread")]
        self.widget, self.required = forms.RadioSelect(choices=choices), True

    def answer(self, text):
        """A batch, or that none did; a fault where nothing was answered."""
        if text == NOBODY:
            return None, True
        if text not in self.batches:
            raise ValidationError(
                "An alkali is missing: say which batch may have got it, or that none "
                "did. Its soap would be harsher than it is held to be."
            )
        return self.batches[text], False


def _named(batch):
    made = getattr(batch, "lot", None)
    of = f", {made.item} {made}" if made else ""
    return f"{batch.get_stage_display()} {batch} of {batch.started:%Y-%m-%d}{of}"


class Asking(forms.Form):
    """What was shown when the form was sent: what is written is what was seen."""

    data: Any
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def look_first(self, token):
        """Fault the form until it comes back with what it showed."""
        if self.cleaned_data.get("seen") == token:
            return
        self.data = self.data.copy()
        self.data["seen"] = token
        self.add_error(None, LOOK)


class CountForm(Asking, PlacedForm):
    found = AmountField(label="Found", zero=True, help_text="What is really there.")
    got = BatchField()
    beneath = "production/counting/_stake.html"
    shown: Any = None

    def clean(self):
        facts = super().clean()
        if not self.errors and facts.get("found"):
            place = facts.get("place") or self.only_place or home_place()
            found = {self.lot: facts["found"].grams_or_pieces}
            [self.shown] = stakes(found, facts["on"], place)
            self._ask(facts)
        return facts

    def _ask(self, facts):
        if not self.shown.difference.beyond:
            self.shown = None
            return
        if not facts.get("reason", "").strip():
            self.fields["reason"].required = True
            self.add_error(
                "reason", f"{self.lot} is {self.shown.difference.says}: why?"
            )
        if self.shown.batches:
            self.fields["got"].ask(self.shown.batches)
            try:
                answer = self.fields["got"].answer(facts.get("got"))
                facts["batch"], facts["nobody"] = answer
            except ValidationError as fault:
                self.add_error("got", fault)
        self.look_first(self.shown.token)

    def arguments(self):
        given = super().arguments()
        return {k: v for k, v in given.items() if k not in ("seen", "got")}


class StockTakeForm(Asking, DeedForm):
    """Every lot that stands at a place, one box each; an empty box is not counted."""

    beneath = "production/counting/_stakes.html"

    def __init__(self, data=None, *, place, blind=False):
        super().__init__(data)
        self.place, self.blind = place, blind
        self.fields["reason"].help_text = "For all that differ, or at each of them."
        rows = Stock.objects.filter(place=place).select_related(
            "lot__item", "lot__batch"
        )
        rows = rows.order_by("lot__item__kind", "lot__item__name", "lot__code")
        self.lots = [row.lot for row in rows if row.amount or self._typed(row.lot)]
        booked = {} if blind else booked_at(self.lots, today(), place)
        for lot in self.lots:
            self._add(lot, booked.get(lot.pk))
        self.order_fields(["on"])
        self.stakes: list[Any] = []

    def _typed(self, lot):
        return self.data.get(f"found_{lot.pk}", "").strip()

    def _add(self, lot, booked):
        says = "" if booked is None else f"By the book {_shown(booked, lot.item.unit)}."
        self.fields[f"found_{lot.pk}"] = AmountField(
            label=f"{lot.item}, {lot}",
            required=False,
            zero=True,
            help_text=says,
            widget=forms.TextInput(attrs={"autocomplete": "off"}),
        )
        # Only where they were asked for: a box more a lot is a long form.
        if f"why_{lot.pk}" in self.data:
            self._add_why(lot)
        if f"got_{lot.pk}" in self.data:
            self._add_got(lot)

    def _add_why(self, lot):
        self.fields[f"why_{lot.pk}"] = forms.CharField(
            label=f"Why {lot} differs", required=False, max_length=500
        )

    def _add_got(self, lot):
        self.fields[f"got_{lot.pk}"] = BatchField(label=f"{MISSING} of {lot}")

    def clean(self):
        facts = super().clean()
        found = {}
        for lot in self.lots:
            name = f"found_{lot.pk}"
            parse_amount(self, name, lot.item)
            if name not in self.errors and facts.get(name):
                found[lot] = facts[name].grams_or_pieces
        if not self.errors and not found:
            self.add_error(None, "Write what you found of one lot at least.")
        elif not self.errors:
            self._ask(facts, found)
        return facts

    def _ask(self, facts, found):
        self.stakes = stakes(found, facts["on"], self.place)
        self.counts = [self._answered(facts, stake) for stake in self.stakes]
        self._in_order()
        self.look_first(_digest(self.stakes))

    def _in_order(self):
        """What is asked of a lot stands at the lot."""
        boxes = ("found", "why", "got")
        names = (f"{box}_{lot.pk}" for lot in self.lots for box in boxes)
        self.order_fields(["on", *names])

    def _answered(self, facts, stake):
        pk, why = stake.lot.pk, facts.get(f"why_{stake.lot.pk}", "").strip()
        if stake.difference.beyond and not (why or facts.get("reason", "").strip()):
            self._add_why(stake.lot)
            self.fields[f"why_{pk}"].required = True
            self.add_error(f"why_{pk}", f"{stake.lot} is {stake.difference.says}: why?")
        batch, nobody = self._got(facts, stake) if stake.batches else (None, False)
        return Found(stake.lot, stake.difference.found, why, batch, nobody)

    def _got(self, facts, stake):
        name = f"got_{stake.lot.pk}"
        self._add_got(stake.lot)
        self.fields[name].ask(stake.batches)
        try:
            return self.fields[name].answer(facts.get(name))
        except ValidationError as fault:
            self.add_error(name, fault)
        return None, False

    def fault(self, faults):
        """What the book says against some rows stands at them."""
        for pk, says in faults.items():
            self.add_error(f"found_{pk}", says)

    def arguments(self):
        return {**self.signed(), "counts": self.counts}

    @property
    def button(self):
        return "Write the counts" if self.stakes else "Show what differs"

    @property
    def differing(self):
        return [stake for stake in self.stakes if stake.difference.amount]

    @property
    def missing_worth(self):
        """As far as its price is known; what is too much stands apart from it."""
        return -self._worth(lambda worth: worth < 0)

    @property
    def more_worth(self):
        return self._worth(lambda worth: worth > 0)

    def _worth(self, wanted):
        known = (row.worth for row in self.differing if row.worth is not None)
        return sum((worth for worth in known if wanted(worth)), Decimal(0))

    @property
    def unknown_worth(self):
        return [row for row in self.differing if row.worth is None]


def _digest(shown):
    text = ";".join(f"{row.lot.pk}:{row.token}" for row in shown)
    return sha256(text.encode()).hexdigest()[:32]


def _shown(amount, unit):
    return grouped(amount) + (" g" if unit == "g" else " pcs")
