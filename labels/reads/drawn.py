"""The label of a lot or product, worded and drawn as it was asked for."""

from dataclasses import dataclass
from decimal import Decimal

from labels.domain.columns import Faces
from labels.domain.label import LabelContent, label
from labels.domain.layout import Drawing, lay_out
from labels.domain.rules import RuleSet
from labels.models import LabelCard
from labels.reads.facts import label_facts
from labels.reads.tables import name_book
from production.models import Lot


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Under which rules a label is wanted, for where, and how large.

    What is left open is as the card says. A basis "" is the one that the rules ask for.
    """

    rules: RuleSet
    basis: str | None = None
    sold_in: str = ""
    language: str = ""
    width: Decimal | None = None
    height: Decimal | None = None


def drawn(
    card: LabelCard, lot: Lot | None, wanted: Wanted, faces: Faces
) -> tuple[Drawing, LabelContent]:
    """The label: drawn, and its words. Refused where the font lacks a sign."""
    rules = wanted.rules
    width, height = wanted.width or card.width, wanted.height or card.height
    facts = label_facts(
        card,
        lot,
        rules,
        (card.basis if wanted.basis is None else wanted.basis) or None,
        name_book(),
        sold_in=wanted.sold_in,
        language=wanted.language,
    )
    content = label(facts, rules)
    least = rules.heights(
        content.contents, card.bottle().panel(height, width), rules.clauses
    )
    return lay_out(content, width, height, least, faces), content
