"""The label of a lot or product, worded and drawn as it was asked for."""

from dataclasses import dataclass, replace
from decimal import Decimal

from labels.domain.columns import Faces
from labels.domain.facts import Found, LabelFacts
from labels.domain.issued import canonical, digest, words_of
from labels.domain.label import LabelContent, label
from labels.domain.layout import Drawing, lay_out
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
    card: LabelCard, lot: Lot | None, wanted: Wanted, faces: Faces
) -> tuple[Drawing, LabelContent]:
    """The label: drawn, and its words. Refused where the font lacks a sign."""
    _, content = worded(card, lot, wanted)
    return laid_out(card, content, wanted, faces), content


def worded(
    card: LabelCard, lot: Lot | None, wanted: Wanted
) -> tuple[LabelFacts, LabelContent]:
    """What is known, and the words of the label.

    A lot that is held for its papers bears the text that an owner approved.
    """
    known = label_facts(
        card,
        lot,
        wanted.rules,
        (card.basis if wanted.basis is None else wanted.basis) or None,
        name_book(),
        sold_in=wanted.sold_in,
        language=wanted.language,
    )
    content = label(known, wanted.rules)
    if lot is None or all(one.element != THE_LOT for one in known.more):
        return known, content
    told = digest(canonical(words_of(content, known.ingredients)))
    unfit = [
        Found(THE_LOT, "missing", "this book", why) for why in why_unfit(lot, told)
    ]
    others = [one for one in known.more if one.element != THE_LOT]
    known = replace(known, more=(*unfit, *others))
    return known, label(known, wanted.rules)


def laid_out(
    card: LabelCard, content: LabelContent, wanted: Wanted, faces: Faces
) -> Drawing:
    """The words in their places. Refused where the font lacks a sign."""
    rules = wanted.rules
    width, height = wanted.width or card.width, wanted.height or card.height
    least = rules.heights(
        content.contents, card.bottle().panel(height, width), rules.clauses
    )
    return lay_out(content, width, height, least, faces)
