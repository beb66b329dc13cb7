"""Label rules are data: each field of a set has its clause beside it.

Not legal advice: a clause that is not ``verified`` is to be read again in the
official text before a label leans on it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Literal

from labels.domain.allergens import AllergenDays, Duty, duty
from production.quantities.domain.refusal import Refused

Standing = Literal["verified", "secondary", "recalled"]


_STANDINGS: Mapping[Standing, str] = {
    "verified": "",
    "secondary": ", read in a summary",
    "recalled": ", source not checked again",
}


@dataclass(frozen=True, slots=True)
class Clause:
    """Where one field of a rule set comes from, and how well it was read.

    ``verified``: read in the law or an official copy; ``secondary``: read in a
    summary by an authority or publisher; ``recalled``: from memory.
    """

    field: str
    says: str
    source: str
    standing: Standing

    @property
    def cited(self) -> str:
        """The source, and how well it was read where that is less than in full."""
        return self.source + _STANDINGS[self.standing]


@dataclass(frozen=True, slots=True)
class RuleSet:
    """What one legislation asks of the ingredient list of a soap; shares in percent."""

    code: Literal["us", "eu", "ca"]
    title: str
    names: Literal["us", "eu"]
    default_basis: Literal["added", "finished"]
    one_percent: Decimal
    free_group_includes_one_percent: bool
    parfum_may_close: bool
    declares_allergens: bool
    rinse_off_over: Decimal | None
    leave_on_over: Decimal | None
    clauses: tuple[Clause, ...]
    allergen_days: AllergenDays = field(default_factory=AllergenDays)

    def clause(self, field: str) -> Clause:
        """The clause behind one field of this set."""
        return next(clause for clause in self.clauses if clause.field == field)

    def allergen_threshold(self, *, rinse_off: bool) -> Decimal | None:
        """The percentage that an allergen must exceed to be named; None: no duty."""
        return self.rinse_off_over if rinse_off else self.leave_on_over

    def allergen_duty(
        self, on: date | None, *, rinse_off: bool, existing: bool = False
    ) -> Duty | None:
        """Which allergens are due on what is placed that day; None: no duty."""
        over = self.allergen_threshold(rinse_off=rinse_off)
        if over is None:
            return None
        return duty(self.allergen_days, over, on, existing=existing)


US = RuleSet(
    code="us",
    title="label rules for the US",
    names="us",
    default_basis="finished",
    one_percent=Decimal("1"),
    free_group_includes_one_percent=True,
    parfum_may_close=False,
    declares_allergens=False,
    rinse_off_over=None,
    leave_on_over=None,
    clauses=(
        Clause(
            "names",
            "the name fixed by FDA, else that of the cosmetic ingredient dictionary; "
            "certified colours by their short name; plants in Latin with the English "
            "name in parentheses by custom",
            "21 CFR 701.3(c), 701.30",
            "recalled",
        ),
        Clause(
            "default_basis",
            "the list is of the finished product; what is used up in making is "
            "incidental",
            "21 CFR 701.3(l)",
            "recalled",
        ),
        Clause(
            "one_percent",
            "above 1 % in descending order of predominance",
            "21 CFR 701.3(a),(f)",
            "recalled",
        ),
        Clause(
            "free_group_includes_one_percent",
            "not above 1 %: in any order after them; colour additives at the end",
            "21 CFR 701.3(f)",
            "recalled",
        ),
        Clause(
            "parfum_may_close",
            "fragrance stands at its place by weight: no clause found that lets it "
            "close the list",
            "21 CFR 701.3(a)",
            "verified",
        ),
        Clause(
            "declares_allergens",
            "the statute orders disclosure of what FDA lists by rule; no rule in "
            "force was found",
            "21 USC 364e(b)",
            "verified",
        ),
        Clause(
            "rinse_off_over",
            "no threshold: no rule in force was found",
            "21 USC 364e(b)",
            "verified",
        ),
        Clause(
            "leave_on_over",
            "no threshold: no rule in force was found",
            "21 USC 364e(b)",
            "verified",
        ),
    ),
)

EU = RuleSet(
    code="eu",
    title="label rules for the EU",
    names="eu",
    default_basis="added",
    one_percent=Decimal("1"),
    free_group_includes_one_percent=False,
    parfum_may_close=False,
    declares_allergens=True,
    rinse_off_over=Decimal("0.01"),
    leave_on_over=Decimal("0.001"),
    allergen_days=AllergenDays(newer=date(2026, 8, 1), newer_on_sale=date(2028, 8, 1)),
    clauses=(
        Clause(
            "names",
            "the ingredient names of the Union glossary; colourants by CI number",
            "Regulation (EC) 1223/2009 Art 19(1)(g), 19(6), 33",
            "recalled",
        ),
        Clause(
            "default_basis",
            "weight at the time the ingredients are added",
            "Regulation (EC) 1223/2009 Art 19(1)(g)",
            "secondary",
        ),
        Clause(
            "one_percent",
            "descending order of weight",
            "Regulation (EC) 1223/2009 Art 19(1)(g)",
            "secondary",
        ),
        Clause(
            "free_group_includes_one_percent",
            "less than 1 %: in any order after those above; colourants in any order "
            "after the others",
            "Regulation (EC) 1223/2009 Art 19(1)(g)",
            "secondary",
        ),
        Clause(
            "parfum_may_close",
            "parfum stands at its place by weight",
            "Regulation (EC) 1223/2009 Art 19(1)(g)",
            "secondary",
        ),
        Clause(
            "declares_allergens",
            "substances of Annex III are named besides the word parfum; the "
            "substances of one entry are summed under its name; names new in 2023 "
            "bind goods placed on sale from 1 August 2026",
            "Regulation (EC) 1223/2009 Annex III; (EU) 2023/1545",
            "verified",
        ),
        Clause(
            "rinse_off_over",
            "named when it exceeds 0.01 % in a rinse-off product",
            "Regulation (EC) 1223/2009 Annex III; (EU) 2023/1545",
            "verified",
        ),
        Clause(
            "leave_on_over",
            "named when it exceeds 0.001 % in a leave-on product",
            "Regulation (EC) 1223/2009 Annex III; (EU) 2023/1545",
            "verified",
        ),
    ),
)

CA = RuleSet(
    code="ca",
    title="label rules for Canada",
    names="eu",
    default_basis="finished",
    one_percent=Decimal("1"),
    free_group_includes_one_percent=True,
    parfum_may_close=True,
    declares_allergens=True,
    rinse_off_over=Decimal("0.01"),
    leave_on_over=Decimal("0.001"),
    allergen_days=AllergenDays(
        older=date(2026, 4, 12),
        newer=date(2026, 8, 1),
        newer_on_sale=date(2028, 8, 1),
    ),
    clauses=(
        Clause(
            "names",
            "the INCI name only; 58 materials may also be shown by their EU name "
            "(Aqua), or in English and French together (Water/Eau)",
            "C.R.C., c. 869, s. 21.2",
            "verified",
        ),
        Clause(
            "default_basis",
            "an ingredient is a component of the finished cosmetic, not what is "
            "used up in the chemical process",
            "C.R.C., c. 869, s. 2(1), 21.4(1)",
            "verified",
        ),
        Clause(
            "one_percent",
            "descending order of weight",
            "C.R.C., c. 869, s. 21.4(1)",
            "verified",
        ),
        Clause(
            "free_group_includes_one_percent",
            "1 % or less, and all colouring agents: in any order after the others",
            "C.R.C., c. 869, s. 21.4(2)",
            "verified",
        ),
        Clause(
            "parfum_may_close",
            "parfum and aroma may stand at the end of the list",
            "C.R.C., c. 869, s. 21.4(3)",
            "verified",
        ),
        Clause(
            "declares_allergens",
            "the fragrance allergens that Annex III of the EU orders to be named; "
            "in force 12 April 2026",
            "C.R.C., c. 869, s. 21.4(0.1),(4)",
            "verified",
        ),
        Clause(
            "rinse_off_over",
            "named when it exceeds 0.01 % in a rinse-off product",
            "C.R.C., c. 869, s. 21.4(4)",
            "verified",
        ),
        Clause(
            "leave_on_over",
            "named when it exceeds 0.001 % in a leave-on product",
            "C.R.C., c. 869, s. 21.4(4)",
            "verified",
        ),
    ),
)

RULE_SETS = {rules.code: rules for rules in (US, EU, CA)}


def rule_set(code: str) -> RuleSet:
    """The rules of that code. Raises Refused for any other."""
    for rules in RULE_SETS.values():
        if rules.code == code:
            return rules
    raise Refused(
        f"There are no label rules {code!r}: use one of {', '.join(RULE_SETS)}."
    )
