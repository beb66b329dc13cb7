"""A product that does not exist, as somebody says it in a few minutes."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from costing.actions.ideas import NewMaterial, NewPrice
from costing.domain.ideas import IdeaLine, Place
from costing.domain.quote_text import read_quote
from costing.forms.idea_told import free_name, priced_before, refuse_two_quotes
from costing.forms.opened_rows import OpenedWithRows
from costing.models import ProductIdea
from costing.reads.ideas import things_named, word_of
from costing.reads.ideas_said import names_to_choose, said_before
from production.models import Item, Workshop
from production.pages.forms.deed import Folds, RowForm, RowsMixin
from production.pages.forms.fields import (
    AmountField,
    Choice,
    DensityField,
    MoneyField,
    NumberField,
    PercentField,
    faulted,
)
from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.quantities.domain.units import A_KILO
from production.recipes.domain.oil_shares import Typed, shared_out

QUOTE_HELP = (
    "Such as 35 lb for 78.50, or 6.40 per kg. Left empty, the last price counts."
)
MOST_WATER = Decimal(100)  # grams to 1 g of alkali
LOSSES = ("loss_cook", "loss_dilution", "loss_finishing", "loss_filling")


class NameField(forms.CharField):
    """The name of a material; those in the book are offered."""

    def __init__(self, offered, **kwargs):
        kwargs.setdefault("widget", forms.TextInput(attrs={"list": offered}))
        super().__init__(max_length=120, **kwargs)


class QuoteField(forms.CharField):
    """A quote as text: the form reads it once it knows of what it is."""

    def __init__(self, **kwargs):
        kwargs.setdefault("label", "Quoted price")
        super().__init__(required=False, max_length=60, **kwargs)


class MaterialRow(RowForm):
    place: Place = "finishing"
    what = NameField("materials", label="What")
    quote = QuoteField(help_text=QUOTE_HELP)
    field_order = ["what", "share", "weight", "each", "quote"]

    def line(self):
        facts = self.cleaned_data
        return IdeaLine(self.place, facts["what"])


class OilRow(MaterialRow):
    place: Place = "oil"
    tells = ("what", "share", "weight", "quote")
    what = NameField("oils", label="Oil")
    share = PercentField(label="Share of the oils, %", required=False)
    weight = AmountField(label="Or its weight", unit="g", required=False)

    def clean(self):
        facts = super().clean()
        if facts.get("share") is not None and facts.get("weight"):
            self.add_error("weight", "Write its share or its weight, one of both.")
        return facts

    def typed(self):
        facts = self.cleaned_data
        weight = facts["weight"].grams_or_pieces if facts["weight"] else None
        return Typed(facts["what"], True, facts["share"], weight)


class FinishingRow(MaterialRow):
    tells = ("what", "share", "quote")
    share = PercentField(label="Share of the finished soap, %")


class PackagingRow(MaterialRow):
    place: Place = "packaging"
    tells = ("what", "each", "quote")
    what = NameField("packaging", label="Bottle, cap, label …")
    each = NumberField(label="On each piece", places=3, required=False)
    quote = QuoteField(help_text="Such as 130 for 101.40, or 0.78 each.")

    def clean_each(self):
        each = self.cleaned_data["each"]
        if each == 0:
            raise ValidationError(
                "Write how many go on each piece, above 0, or leave the row out."
            )
        return each


class IdeaForm(OpenedWithRows, RowsMixin, Folds, forms.Form):
    """All of an idea at once; ``idea`` is the one that is changed."""

    row_sets = {
        "oils": (OilRow, "Oils"),
        "finishing": (FinishingRow, "What joins the diluted soap"),
        "packaging": (PackagingRow, "What goes on each piece"),
    }
    spare_rows = 3
    name = forms.CharField(max_length=120, label="What it is to be called")
    pieces = NumberField(label="Pieces made together", places=0)
    fill = AmountField(
        label="Soap in one piece",
        required=False,
        help_text="Such as 245 g, 8 oz or 8 fl oz.",
    )
    density = DensityField(
        label="Its density, g/mL",
        required=False,
        help_text="Only where it is filled by volume. Liquid soap is near 1.03 "
        "(common practice, no source).",
    )
    base = Choice(
        Item.objects.filter(kind=Item.Kind.MADE),
        label="Begin from what a recipe makes",
        required=False,
        empty_label="no, from the oils below",
    )
    superfat = PercentField(
        label="Superfat, %",
        required=False,
        help_text="Needed where it begins from oils.",
    )
    water_per_alkali = NumberField(
        label="Water, grams to 1 g of alkali as weighed", places=5, required=False
    )
    koh_purity = PercentField(
        label="Purity of the potassium hydroxide, %",
        required=False,
        high=True,
        help_text="Left empty, that of the tub in the book counts.",
    )
    soap_content = PercentField(
        label="Soap content wanted after the dilution, %", required=False, high=True
    )
    minutes_batch = NumberField(
        label="Minutes of work a batch takes, however large",
        places=2,
        required=False,
        help_text="Setting up, the cook, cleaning. Left empty, no work is counted.",
    )
    minutes_piece = NumberField(
        label="Minutes for each piece more", places=3, required=False
    )
    rate = MoneyField(label="Rate for an hour", of="an hour", required=False)
    energy = MoneyField(label="Energy for a batch", required=False)
    loss_cook = PercentField(label="Boils off in the cook, %", required=False)
    loss_dilution = PercentField(label="Lost in the dilution, %", required=False)
    loss_finishing = PercentField(label="Lost in the finishing, %", required=False)
    loss_filling = PercentField(
        label="Lost in the filling, %",
        required=False,
        help_text="A loss is needed of each stage that there is; 0 where nothing is.",
    )
    lye_strength = PercentField(
        label="Strength of the lye instead of its water, % pure alkali",
        required=False,
        high=True,
    )
    koh_share = PercentField(
        label="Potassium share of the soap, %",
        required=False,
        high=True,
        help_text="By mole. Left empty it is 100 %: potassium hydroxide alone.",
    )
    naoh_purity = PercentField(
        label="Purity of the sodium hydroxide, %", required=False, high=True
    )
    after_rows = ("minutes_batch", "minutes_piece", "rate", "energy", *LOSSES)
    folded = ("lye_strength", "koh_share", "naoh_purity")
    # A plan cannot do without, though not each plan without each of them.
    needed = ("fill", "superfat", "water_per_alkali", *LOSSES)

    def __init__(self, data=None, *, idea=None, initial=None, rows=None):
        self.idea = idea
        # What a recipe does not say is left open: it would look as if it did.
        self.said_last = idea is None and not initial
        first = said_before() if self.said_last else {}
        super().__init__(data, initial={**first, **(initial or {})})
        self.set_rows(data, rows)
        for name in self.needed:
            self.fields[name].needed = True
        self.fields["water_per_alkali"].largest = MOST_WATER
        self.suggestions = names_to_choose()
        self.materials: Any = []

    def open_fields(self):
        aside = {*self.folded, *self.after_rows}
        return [f for f in self.visible_fields() if f.name not in aside]

    def last_fields(self):
        return [self[name] for name in self.after_rows]

    def stands(self):
        """The idea as it stands in the book, or None where there is none yet."""
        pk = self.idea.pk if self.idea else None
        row = ProductIdea.objects.filter(pk=pk).first()
        if row is None:
            return None
        first, rows = as_typed(row)
        return IdeaForm(idea=row, initial=first, rows=rows)

    def clean_name(self):
        return free_name(self.cleaned_data["name"], self.idea)

    def clean_superfat(self):
        superfat = self.cleaned_data["superfat"]
        if superfat == 1:
            raise ValidationError("Write a superfat below 100 %: some becomes soap.")
        return superfat

    def forget_what_is_missing(self):
        """It is never only looked at."""

    def clean_pieces(self):
        pieces = self.cleaned_data["pieces"]
        if not pieces:
            raise ValidationError("Write how many are made together, such as 40.")
        return pieces

    def clean(self):
        facts = super().clean()
        self._read_fill(facts)
        if all(rows.is_valid() for rows in self.rows.values()):
            try:
                self.materials = self._materials()
            except Refused as fault:
                self.add_error(None, str(fault))
        self._ask_for(facts)
        return facts

    def _read_fill(self, facts):
        text = facts.pop("fill", None)
        facts["fill"], facts["fill_typed"] = None, text or ""
        if text:
            try:
                read = self.fields["fill"].read(text, "g", facts.get("density"))
            except ValidationError as fault:
                self.add_error("fill", fault)
            else:
                facts["fill"] = read.grams_or_pieces

    def _ask_for(self, facts):
        """What a plan cannot do without, said where it is missing."""
        oils = self.rows["oils"].written()
        if bool(oils) == bool(facts.get("base")) and not self.errors.get("base"):
            self.add_error(
                "base", "Write oils below, or choose what a recipe makes: one of both."
            )
        if oils and facts.get("superfat") is None and "superfat" not in self.errors:
            self.add_error("superfat", "Write the superfat: none is assumed.")
        water = ("water_per_alkali", "lye_strength")
        given = [facts.get(name) for name in water]
        if oils and given.count(None) != 1 and not {*water} & {*self.errors}:
            self.add_error(
                "water_per_alkali",
                "Set the lye water once: grams to 1 g of alkali, such as 2, or the "
                "strength of the lye.",
            )
        for name in ("soap_content", "koh_purity", "naoh_purity", "lye_strength"):
            if facts.get(name) == 0:
                self.add_error(name, "Write it above 0 %, or leave it empty.")
        for name in LOSSES:
            if facts.get(name) == 1:
                self.add_error(name, "Write a loss below 100 %: something is made.")

    def _materials(self):
        written = {name: rows.written() for name, rows in self.rows.items()}
        oils = written["oils"]
        shares: list[Any] = []
        if oils:
            shares, _ = shared_out([row.typed() for row in oils], A_KILO)
        rows = [*oils, *written["finishing"], *written["packaging"]]
        cards = things_named([row.line() for row in rows])
        currency = Workshop.objects.values_list("currency", flat=True).first() or "USD"
        before = {} if self.idea is None else priced_before(self.idea)
        found = []
        for place, row in enumerate(rows):
            card = cards[word_of(row.line())]
            share = (
                shares[place] if place < len(oils) else row.cleaned_data.get("share")
            )
            price = price_of(row, card, currency, before.get(card.name))
            found.append(material_of(row, card, share, price))
        refuse_two_quotes(found)
        return found

    def arguments(self):
        facts = {n: v for n, v in self.cleaned_data.items() if n in CARD}
        for name, least in (
            ("koh_share", 1),
            ("minutes_batch", 0),
            ("minutes_piece", 0),
        ):
            facts[name] = least if facts.get(name) is None else facts[name]
        return {**facts, "materials": self.materials}


CARD = {field.name for field in ProductIdea._meta.concrete_fields} - {"id"}


def material_of(row, card, share, price):
    """A row as the action takes it: the card where it is one, the oil, or the name."""
    own = card.pk > 0
    return NewMaterial(
        place=row.place,
        name=card.name,
        item=card if own else None,
        oil=card.oil if not own and card.oil_id else None,
        share=share,
        each=row.cleaned_data.get("each"),
        price=price,
    )


def price_of(row, card, currency, before):
    """The quote in the box counts; one that stood there already leaves the choice."""
    text = row.cleaned_data.get("quote") or ""
    if before is not None and text == before.typed:
        return before
    if not text:
        return NewPrice(before.price_from if before and not before.quote else "last")
    try:
        with faulted():
            quote = read_quote(text, currency, unit=card.unit, density=card.density)
    except ValidationError as fault:
        row.add_error("quote", fault)
        raise Refused(f"{card.name}: {' '.join(fault.messages)}") from fault
    return NewPrice("quote", quote, text)


def as_typed(idea):
    """A saved idea as the initial values of its form, and of its rows."""
    first = {name: getattr(idea, name) for name in CARD if name != "fill"}
    first["fill"] = idea.fill_typed
    first["base"] = idea.base_id
    for name in ("pieces", "minutes_batch", "minutes_piece", "water_per_alkali"):
        first[name] = None if first[name] is None else plain(first[name])
    rows: dict[str, list[dict[str, Any]]] = {name: [] for name in IdeaForm.row_sets}
    places = {"oil": "oils", "finishing": "finishing", "packaging": "packaging"}
    for one in idea.materials.all():
        if one.place in places:
            rows[places[one.place]].append(
                {
                    "what": one.called,
                    "share": one.share,
                    "each": None if one.each is None else plain(one.each),
                    "quote": one.quote_typed,
                }
            )
    return first, rows
