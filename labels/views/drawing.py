"""A label worked out and drawn, for whoever looks at it, issues it or compares it."""

from dataclasses import dataclass, replace
from decimal import Decimal

from labels.domain.drawing import Drawing
from labels.domain.facts import LabelFacts
from labels.domain.issued import Made, canonical, digest, words_of
from labels.domain.label import LabelContent
from labels.domain.layout import lay_out
from labels.domain.rules import RuleSet
from labels.files import faces, label_pdf, sheet_pdf
from labels.files.dressing import dress_for
from labels.reads.drawn import Wanted, known
from labels.reads.facts import THE_LOT, card_of, paper_in_use
from labels.reads.issued import inputs_in
from labels.reads.rules import rule_set
from production.quantities.domain.refusal import Refused


@dataclass(frozen=True)
class Drawn:
    """A label as asked for: what is known, what it says, and where each word stands."""

    wanted: Wanted
    facts: LabelFacts
    content: LabelContent
    drawing: Drawing

    @property
    def words(self):
        return words_of(self.content, self.facts.ingredients)

    @property
    def stopped(self):
        """Whether the lot itself may carry no clean label, whatever it says."""
        return any(one.element == THE_LOT for one in self.facts.more)

    @property
    def digest(self):
        return digest(canonical(self.words))


def drawn(form, lot) -> Drawn:
    """The label as a form asks for it."""
    asked = form.cleaned_data
    size = asked["geometry"].label_width, asked["geometry"].label_height
    wanted = Wanted(
        rules=rule_set(asked["rules"]),
        basis=asked["basis"],
        sold_in=asked["sold_in"],
        width=size[0],
        height=size[1],
    )
    return drawn_for(form.card, lot, wanted, size)


def drawn_for(card, lot, wanted, size) -> Drawn:
    """The same as wanted; ``size`` is width and height in mm."""
    facts, content, least = known(card, lot, wanted)
    dress = dress_for(card)
    drawing = lay_out(content, size[0], size[1], least, faces(), dress)
    return Drawn(wanted, facts, content, drawing)


def printed(form, made: Drawn, title: str, *, one: bool, look: bool) -> bytes:
    """The file: one label, or as many on sheets as the form asks for."""
    drawing = made.drawing.looked_at() if look else made.drawing
    if one:
        return label_pdf(drawing, title, paper_in_use())
    asked = form.cleaned_data
    return sheet_pdf(
        drawing,
        asked["geometry"],
        title,
        count=asked["labels"],
        start=asked["start"],
        crop=form.by_hand,
        paper=paper_in_use(),
    )


def to_issue(form, lot, title: str, *, one: bool) -> Made:
    """The same to be kept: its file, and all that it was made from."""
    made = drawn(form, lot)
    asked = form.cleaned_data
    on = {
        "one": one,
        "sheet": asked["geometry"],
        "labels": 1 if one else asked["labels"],
        "start": asked["start"],
    }
    found = to_keep(made, on)
    if found.missing:
        return found
    return replace(found, raw=printed(form, made, title, one=one, look=False))


def sentences(missing) -> tuple[str, ...]:
    """What makes it a draft, each a sentence."""
    return tuple(f"{each.what}: {each.why}" for each in missing)


def to_keep(made: Drawn, on) -> Made:
    """All that a label was made from; ``on`` says what it is printed on."""
    missing = sentences(made.drawing.missing)
    inputs = {
        "facts": made.facts,
        "words": made.words,
        "drawing": made.drawing,
        "asked": {"basis": made.wanted.basis or "", "sold_in": made.wanted.sold_in},
        "on": on,
    }
    return Made(
        rules=made.wanted.rules.code,
        language=", ".join(made.facts.languages),
        edition=edition(made.wanted.rules),
        inputs=canonical(inputs),
        words=made.digest,
        missing=missing,
    )


def edition(rules: RuleSet) -> str:
    """Which wording of the rules it was: the digest of their clauses."""
    return digest(canonical(rules.clauses))


def words_today(issued):
    """What the label of the same lot would say if it were issued today.

    Refused where no ingredient list can be made any more.
    """
    facts, content, _ = known(card_of(issued.item), issued.lot, _as_issued(issued))
    if facts.no_list:
        raise Refused(facts.no_list)
    return words_of(content, facts.ingredients)


def _as_issued(issued, **size) -> Wanted:
    asked = inputs_in(issued)["asked"]
    rules = rule_set(issued.rules)
    return Wanted(rules=rules, basis=asked["basis"], sold_in=asked["sold_in"], **size)


def draft_today(issued) -> tuple[str, ...]:
    """What makes the same label a draft today, each a sentence; none where it is clean.

    In the size in which it was printed; what goes over another label is judged by the
    words of the whole one. Refused where it cannot be drawn any more.
    """
    kept = inputs_in(issued)
    width, height = (Decimal(kept["drawing"][side]) for side in ("width", "height"))
    card = card_of(issued.item)
    if kept["on"].get("over"):
        missing = known(card, issued.lot, _as_issued(issued))[1].missing
    else:
        wanted = _as_issued(issued, width=width, height=height)
        missing = drawn_for(card, issued.lot, wanted, (width, height)).drawing.missing
    return sentences(missing)
