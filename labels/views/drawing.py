"""A label worked out and drawn, for whoever looks at it, issues it or compares it."""

from dataclasses import dataclass, replace

from labels.domain.facts import Found, LabelFacts
from labels.domain.heights import panel
from labels.domain.issued import Made, canonical, digest, words_of
from labels.domain.label import LabelContent, label
from labels.domain.layout import Drawing, lay_out
from labels.domain.rules import RuleSet
from labels.files import faces, label_pdf, sheet_pdf
from labels.models import LabelCard
from labels.reads.facts import THE_LOT, card_of, label_facts
from labels.reads.issued import inputs_in, why_unfit
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.models import Workshop
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True)
class Drawn:
    """A label as asked for: what is known, what it says, and where each word stands."""

    rules: RuleSet
    facts: LabelFacts
    content: LabelContent
    drawing: Drawing

    @property
    def words(self):
        return words_of(self.content, self.facts.ingredients)

    @property
    def digest(self):
        return digest(canonical(self.words))


def worded(card, lot, rules, basis, sold_in="") -> tuple[LabelFacts, LabelContent]:
    """The words of a label today; a lot held for its papers bears an approved text."""
    known = label_facts(card, lot, rules, basis, name_book(), sold_in=sold_in)
    content = label(known, rules)
    if any(one.element == THE_LOT for one in known.more):
        told = digest(canonical(words_of(content, known.ingredients)))
        others = tuple(one for one in known.more if one.element != THE_LOT)
        stops = why_unfit(lot, told)
        unfit = (Found(THE_LOT, "missing", "this book", says) for says in stops)
        known = replace(known, more=(*others, *unfit))
        content = label(known, rules)
    return known, content


def drawn(form, lot) -> Drawn:
    """The label as a form asks for it."""
    asked = form.cleaned_data
    rules, card, geometry = rule_set(asked["rules"]), form.card, asked["geometry"]
    size = geometry.label_width, geometry.label_height
    basis, sold_in = asked["basis"] or None, asked["sold_in"]
    known, content = worded(card, lot, rules, basis, sold_in)
    if card.shape == LabelCard.Shape.LABEL:
        shown = panel("label", size[1], size[0])
    else:
        shown = panel(card.shape, card.panel_height, card.panel_across)
    least = rules.heights(content.contents, shown, rules.clauses)
    return Drawn(rules, known, content, lay_out(content, *size, least, faces()))


def printed(form, made: Drawn, title: str, *, one: bool, look: bool) -> bytes:
    """The file: one label, or as many on sheets as the form asks for."""
    if one:
        return label_pdf(made.drawing, title, paper(), look=look)
    asked = form.cleaned_data
    return sheet_pdf(
        made.drawing,
        asked["geometry"],
        title,
        count=asked["labels"],
        start=asked["start"],
        crop=form.by_hand,
        paper=paper(),
        look=look,
    )


def to_issue(form, lot, title: str, *, one: bool) -> Made:
    """The same to be kept: its file, and all that it was made from."""
    made = drawn(form, lot)
    asked = form.cleaned_data
    missing = tuple(f"{each.what}: {each.why}" for each in made.drawing.missing)
    inputs = {
        "facts": made.facts,
        "words": made.words,
        "drawing": made.drawing,
        "asked": {"basis": asked["basis"], "sold_in": asked["sold_in"]},
        "on": {
            "one": one,
            "sheet": asked["geometry"],
            "labels": 1 if one else asked["labels"],
            "start": asked["start"],
        },
    }
    return Made(
        rules=made.rules.code,
        language=", ".join(made.facts.languages),
        edition=edition(made.rules),
        inputs=canonical(inputs),
        words=made.digest,
        missing=missing,
        raw=b"" if missing else printed(form, made, title, one=one, look=False),
    )


def edition(rules: RuleSet) -> str:
    """Which wording of the rules it was: the digest of their clauses."""
    return digest(canonical(rules.clauses))


def words_today(issued):
    """What the label of the same lot would say if it were issued today.

    Refused where no ingredient list can be made any more.
    """
    asked = inputs_in(issued)["asked"]
    rules, card = rule_set(issued.rules), card_of(issued.item)
    basis, sold_in = asked["basis"] or None, asked["sold_in"]
    known, content = worded(card, issued.lot, rules, basis, sold_in)
    if known.no_list:
        raise Refused(known.no_list)
    return words_of(content, known.ingredients)


def paper() -> str:
    return Workshop.objects.values_list("paper", flat=True).first() or "A4"
