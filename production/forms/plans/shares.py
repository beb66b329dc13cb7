"""Preparation, finishing, filling, packing, rework: shares of what is made."""

from decimal import Decimal

from production.domain.mixing import remarks as to_heed
from production.forms.deed import lots_to_choose, released_lots
from production.forms.fields import AmountField, understand
from production.forms.plans.rows import Plan, PlanForm, gather, out_of, water_rows
from production.models import Item, Lot, Stage
from production.reads.cooking import part_of
from production.reads.fragrance import remarks_for


class SharePlanForm(PlanForm):
    """Preparation, finishing, filling, packing, rework: shares of what is made."""

    amount = AmountField(label="How much to make", required=False)

    def clean(self):
        facts = super().clean()
        if version := facts.get("version"):
            understand(self, "amount", version.formula.makes)
        return facts

    def work_out(self):
        version, amount = self.cleaned_data["version"], self.cleaned_data["amount"]
        if version is None or not amount:
            return Plan()
        lines = list(version.lines.select_related("item"))
        made, kept = amount.grams_or_pieces, Decimal(1) - (version.loss or 0)
        counted = version.formula.makes.unit == Item.Unit.PIECE
        # So many pieces are wanted in the end: what is lost is soap, and comes on top.
        more_soap = 1 / kept if counted else Decimal(1)
        needs = [
            (line.item, made * _part(line) * _times(line, more_soap)) for line in lines
        ]
        rows, remarks = gather(needs, self.on)
        rest = made - sum((need for _, need in needs), Decimal(0))
        if all(line.share is not None for line in lines) and rest > 0:
            more, said = water_rows(rest, self.on)
            rows, remarks = rows + more, remarks + said
        parts = [part_of(line.item, line.share, line.each) for line in lines]
        return Plan(
            rows,
            [("to make", made, "pieces" if counted else "g")],
            [*remarks, *to_heed(parts, version.formula.stage), *_scented(rows, made)],
            made if counted else out_of(made, version),
        )

    def suggestions(self):
        return lots_to_choose() if self.stage == Stage.REWORK else released_lots()


def _part(line):
    return line.share if line.share is not None else line.each


def _times(line, more_soap):
    return more_soap if line.item.unit == Item.Unit.GRAM else 1


def _scented(rows, made):
    """What the papers of the fragrance lots say at the strength they get."""
    codes = {row["lot"]: row["exact"] for row in rows if row["lot"]}
    lots = Lot.objects.filter(code__in=codes).select_related("item")
    scents = [lot for lot in lots if lot.item.category == Item.Category.FRAGRANCE]
    return remarks_for([(lot, codes[lot.code]) for lot in scents], made)
