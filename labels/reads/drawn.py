"""The label of a lot or product, worded and drawn as it was asked for."""

from dataclasses import dataclass, replace
from decimal import Decimal

from labels.domain.columns import Faces
from labels.domain.drawing import Drawing
from labels.domain.dress import PLAIN, Dress
from labels.domain.facts import Found, LabelFacts
from labels.domain.heights import Heights
from labels.domain.issued import canonical, digest, words_of
from labels.domain.label import LabelContent, label
from labels.domain.layout import lay_out
from labels.domain.rules import RuleSet
from labels.models import LabelCard
from labels.reads.facts import THE_LOT, label_facts
from labels.reads.issued import why_unfit
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
    card: LabelCard,
    lot: Lot | None,
    wanted: Wanted,
    faces: Faces,
    dress: Dress = PLAIN,
) -> tuple[Drawing, LabelContent]:
    """The label: drawn, and its words. Refused where the font lacks a sign."""
    _, content, least = known(card, lot, wanted)
    size = wanted.width or card.width, wanted.height or card.height
    return lay_out(content, *size, least, faces, dress), content


def worded(
    card: LabelCard, lot: Lot | None, wanted: Wanted
) -> tuple[LabelContent, Heights]:
    """The words of a label, and the least letters of each."""
    _, content, least = known(card, lot, wanted)
    return content, least


def known(
    card: LabelCard, lot: Lot | None, wanted: Wanted
) -> tuple[LabelFacts, LabelContent, Heights]:
    """The same with all that is known.

    A lot that is held for its papers bears the text that an owner approved.
    """
    rules = wanted.rules
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
    if lot is not None and any(one.element == THE_LOT for one in facts.more):
        told = digest(canonical(words_of(content, facts.ingredients)))
        stops = why_unfit(lot, told)
        unfit = [Found(THE_LOT, "missing", "this book", says) for says in stops]
        others = [one for one in facts.more if one.element != THE_LOT]
        facts = replace(facts, more=(*unfit, *others))
        content = label(facts, rules)
    shown = card.bottle().panel(
        wanted.height or card.height, wanted.width or card.width
    )
    return facts, content, rules.heights(content.contents, shown, rules.clauses)
