"""Paste and water: to a soap content, by parts of water, or to so much in all."""

from decimal import Decimal

from production.domain.chemistry.dilution import (
    Dilution,
    dilute_by,
    dilute_to,
    strength_after,
)
from production.domain.numbers import grams
from production.domain.refusal import Refused
from production.forms.deed import today
from production.forms.fields import AmountField, LotField, NumberField, PercentField
from production.forms.plans.rows import (
    Plan,
    PlanForm,
    gather,
    out_of,
    row,
    water_rows,
)
from production.models import Item
from production.reads.stored import soap_content


class DilutionPlanForm(PlanForm):
    paste = LotField(label="Paste, lot", required=False)
    amount = AmountField(label="How much of it", unit="g", required=False)
    together = AmountField(
        label="Or how much diluted soap",
        unit="g",
        required=False,
        help_text="The paste for it is worked out.",
    )
    soap_content = PercentField(
        label="Its soap content, %",
        required=False,
        high=True,
        help_text="Left empty, the latest value in the book counts, or what went in.",
    )
    target = PercentField(
        label="Wanted soap content, %",
        required=False,
        high=True,
        help_text="Left empty, the recipe says it.",
    )
    parts = NumberField(
        label="Or parts of water to 1 part of paste",
        places=3,
        required=False,
    )

    def work_out(self):
        facts = self.cleaned_data
        paste, version = facts["paste"], facts["version"]
        if paste is None or not (facts["amount"] or facts["together"]):
            return Plan()
        content = self._content(paste)
        mixed, target = self._mixed(content)
        others = self._others(mixed.total)
        water = mixed.water - sum((amount for _, amount in others), Decimal(0))
        if water < 0:
            raise Refused(
                f"What the recipe adds is {grams(-water)} g more than the water: ask "
                "for less soap, or write less of it."
            )
        beside, told = gather(others, self.on)
        more, said = water_rows(water, self.on)
        return Plan(
            [row(paste.item, grams(mixed.paste), paste.code), *beside, *more],
            [
                ("water to add", grams(water), "g"),
                ("together", grams(mixed.total), "g"),
                ("soap content then", round(target * 100, 2), "%"),
            ],
            told + said + self._waits(version),
            out_of(mixed.total, version),
        )

    def _mixed(self, content):
        """The dilution, and the soap content that it gives."""
        facts = self.cleaned_data
        if facts["parts"] is not None:
            target = strength_after(content, facts["parts"])
            if facts["amount"]:
                amount = facts["amount"].grams_or_pieces
                return dilute_by(amount, facts["parts"]), target
        else:
            version = facts["version"]
            target = facts["target"] or (version.target_soap if version else None)
        if target is None:
            raise Refused("Write the soap content that is wanted, or parts of water.")
        if facts["amount"]:
            return dilute_to(facts["amount"].grams_or_pieces, content, target), target
        total = facts["together"].grams_or_pieces
        if target > content:
            raise Refused(
                f"A paste of {round(content * 100, 1)} % soap cannot be diluted to "
                f"{round(target * 100, 1)} %: ask for less, or cook a drier paste."
            )
        paste = total * target / content
        return Dilution(paste, total - paste, total), target

    def _others(self, total):
        """What the recipe takes beside paste and water, as shares of the whole."""
        version, paste = self.cleaned_data["version"], self.cleaned_data["paste"]
        if version is None:
            return []
        return [
            (line.item, line.share * total)
            for line in version.lines.select_related("item")
            if line.share is not None
            and line.item_id != paste.item_id
            and line.item.category != Item.Category.WATER
        ]

    def _waits(self, version):
        """How long what is made may stand before it is finished."""
        if version is None or not version.shelf_days:
            return []
        return [
            f"Finish and fill it within {version.shelf_days} days, as the recipe says; "
            "kept longer it is tested again."
        ]

    def _content(self, paste):
        typed = self.cleaned_data["soap_content"]
        if typed is not None:
            if not typed:
                raise Refused("Write a soap content above 0 % for the paste.")
            return typed
        known = soap_content(paste, today())
        if known is None:
            raise Refused(f"The soap content of {paste} is not in the book: write it.")
        return known.share
