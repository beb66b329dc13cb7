"""A cook: oils out of their lots, the lye from the purity of its tub."""

from production.domain.chemistry.recipe import alkalis_used
from production.domain.cooking import IN_THE_LYE, LATE, Lye, cook
from production.domain.numbers import grams, plain
from production.forms.fields import TUBS, AmountField, LotField
from production.forms.plans.rows import Plan, PlanForm, gather, row, water_rows
from production.reads.cooking import balance_step, lines_from_lots, terms_of
from production.reads.tubs import tubs_to_weigh


class CookPlanForm(PlanForm):
    oils = AmountField(label="Oils in all", unit="g", required=False)
    alkali_lot = LotField(
        label="Potassium hydroxide, lot",
        required=False,
        help_text="Read the code off the tub. Its purity decides how much is weighed.",
    )
    soda_lot = LotField(
        label="Sodium hydroxide, lot",
        required=False,
        help_text="Only where the recipe asks for some.",
    )

    def work_out(self):
        facts = self.cleaned_data
        version, oils = facts["version"], facts["oils"]
        if version is None or not oils:
            return Plan()
        lines = list(version.lines.select_related("item__oil"))
        total = oils.grams_or_pieces
        at_once = [ln for ln in lines if ln.goes_in != LATE]
        rows, remarks = gather([(ln.item, ln.share * total) for ln in at_once], self.on)
        in_the_lye = {ln.item_id for ln in lines if ln.goes_in == IN_THE_LYE}
        for proposed in rows:
            if proposed["of"] in in_the_lye:
                proposed["goes_in"] = IN_THE_LYE
        if facts["alkali_lot"] is None and version.koh_share > 0:
            remarks.append("Type the code of the alkali lot: its purity decides.")
            return Plan(rows, [("oils", grams(total), "g")], remarks)
        cooked = self._cooked(version, lines, rows, total)
        late = [(ln.item, ln.share * total) for ln in lines if ln.goes_in == LATE]
        last, said = gather(late, self.on)
        last = [proposed | {"goes_in": LATE} for proposed in last]
        return self._with_lye(cooked, rows, remarks, total, last, said)

    def _cooked(self, version, lines, rows, total):
        """With the values of the lots that are proposed, where they have their own."""
        codes = {}
        for proposed in rows:
            codes.setdefault(proposed["of"], []).append(
                (proposed["lot"], proposed["exact"])
            )
        return cook(
            lines_from_lots(lines, codes, total),
            terms_of(version),
            self._lyes(version),
            total,
            balance_step(),
        )

    def _lyes(self, version) -> dict[str, Lye]:
        used = alkalis_used(version.koh_share)
        typed = {alkali: self.cleaned_data[tub] for alkali, tub in TUBS.items()}
        tubs = tubs_to_weigh(used, typed, by_itself=False)
        return {alkali: tub.lye for alkali, tub in tubs.items()}

    def _with_lye(self, cooked, rows, remarks, total, late, said):
        facts, result = self.cleaned_data, cooked.result
        weighed = [
            (facts["alkali_lot"], grams(result.koh_weighed)),
            (facts["soda_lot"], grams(result.naoh_weighed)),
        ]
        weighed = [(lot, amount) for lot, amount in weighed if lot and amount]
        figures = [("oils", grams(total), "g")]
        figures += [(f"alkali from {lot}", amount, "g") for lot, amount in weighed]
        remarks = [*remarks, *said, *cooked.remarks]
        water = []
        if result.lye_water is not None:
            water, more = water_rows(result.lye_water, self.on)
            remarks += more
            figures.append(("water", grams(result.lye_water), "g"))
        lye = [_from_tub(lot, amount) for lot, amount in weighed]
        # In the order of the hands: oils, water, alkali into it, and what comes last.
        return Plan(
            rows + water + lye + late,
            figures,
            remarks,
            None if cooked.paste is None else grams(cooked.paste),
            cooked,
        )


def _from_tub(lot, amount):
    """What was planned goes along; how much was weighed is read off the balance."""
    planned = {"planned": lot.code, "planned_amount": plain(amount)}
    return row(lot.item, amount, lot.code) | planned | {"amount": ""}
