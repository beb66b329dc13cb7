"""Which price of each material counts, and a quote where somebody has one."""

from django import forms
from django.core.exceptions import ValidationError

from costing.actions.ideas import NewPrice
from costing.domain.quote_text import read_quote
from costing.forms.idea_told import priced_before
from costing.forms.ideas import QuoteField
from costing.models import IdeaMaterial, ProductIdea
from production.models import Workshop
from production.pages.forms.fields import faulted
from production.pages.forms.opened import Opened


class IdeaPricesForm(Opened, forms.Form):
    """Two boxes a line of the plan; a quote that is typed anew is the one that counts.

    ``lines`` are those of the plan, ``densities`` by the key of the material.
    """

    def __init__(self, data=None, *, idea, lines, densities):
        super().__init__(data)
        self.idea = idea
        self.lines = [line for line in lines if line.key is not None]
        # The boxes are numbered: of which lines that was is carried along.
        self.names = "\n".join(line.name for line in self.lines)
        self.fields["names"] = forms.CharField(
            required=False, widget=forms.HiddenInput, initial=self.names, strip=False
        )
        self.densities = densities
        self.before = priced_before(idea)
        for place, line in enumerate(self.lines):
            said = self.before.get(line.name, NewPrice())
            self.fields[f"from{place}"] = forms.ChoiceField(
                label=f"Price of {line.name}",
                choices=IdeaMaterial.From,
                initial=said.price_from,
            )
            self.fields[f"quote{place}"] = QuoteField(
                label=f"Quote for {line.name}", initial=said.typed
            )

    def stands(self):
        """As it stands in the book; None where the idea is gone."""
        row = ProductIdea.objects.filter(pk=self.idea.pk).first()
        if row is None or self._other_lines():
            return None
        return IdeaPricesForm(idea=row, lines=self.lines, densities=self.densities)

    def _other_lines(self):
        said = self.data.get("names", self.names)
        return said.replace("\r\n", "\n") != self.names

    def asked(self):
        """The lines that have no price, each with its two boxes."""
        return [one for one in self._boxes() if one[0].cost is None]

    def known(self):
        """Those that have one."""
        return [one for one in self._boxes() if one[0].cost is not None]

    def _boxes(self):
        return [
            (line, self[f"from{place}"], self[f"quote{place}"])
            for place, line in enumerate(self.lines)
        ]

    def clean(self):
        facts = super().clean()
        if self._other_lines():
            raise ValidationError(
                "What goes in was changed since this page was opened. Open it again, "
                "and choose the prices there."
            )
        currency = Workshop.objects.values_list("currency", flat=True).first() or "USD"
        self.prices = {}
        for place, line in enumerate(self.lines):
            before = self.before.get(line.name, NewPrice())
            chosen, text = facts.get(f"from{place}"), facts.get(f"quote{place}") or ""
            if chosen is None:
                continue
            try:
                said = self._said(line, before, chosen, text, currency)
            except ValidationError as fault:
                self.add_error(f"quote{place}", fault)
            else:
                if said != before:
                    self.prices[line.name] = said
        return facts

    def _said(self, line, before, chosen, text, currency):
        if text == before.typed:
            if chosen == "quote" and before.quote is None:
                raise ValidationError(
                    f"Write the quote for {line.name}, such as 35 lb for 78.50."
                )
            return NewPrice(chosen, before.quote, text)
        if not text:
            return NewPrice("last" if chosen == "quote" else chosen)
        with faulted():
            quote = read_quote(
                text, currency, unit=line.unit, density=self.densities.get(line.key)
            )
        return NewPrice("quote", quote, text)

    def arguments(self):
        return {"prices": self.prices}
