"""What is known for the label of a product or of one of its lots."""

from labels.domain.durability import Keeping
from labels.domain.label import LabelFacts
from labels.domain.name_book import NameBook
from labels.domain.rules import RuleSet
from labels.models import LabelCard
from labels.reads.listing import declare_lot
from production.fitness.domain.reasons import Purpose
from production.fitness.reads import fitness
from production.models import Item, Lot, Workshop
from production.quantities.domain.refusal import Refused
from production.record.reads.clock import today


def card_of(item: Item) -> LabelCard:
    """The card of a product; an empty one where none was written."""
    return LabelCard.objects.filter(item=item).first() or LabelCard(item=item)


def label_facts(
    card: LabelCard,
    lot: Lot | None,
    rules: RuleSet,
    basis: str | None,
    names: NameBook,
) -> LabelFacts:
    """All that is known for the label of a lot, or of a product still to be made.

    Without a lot the ingredient list is that of the last one made, if any, and a note
    says so; the batch number is left to write in.
    """
    workshop = Workshop.objects.first() or Workshop()
    listed, why, notes = _listed(card.item, lot, rules, basis, names)
    return LabelFacts(
        identity=card.identity,
        function=card.function,
        second_language=card.second_language,
        declared=card.declared,
        ingredients=listed,
        no_list=why,
        basis=basis or rules.default_basis,
        batch=lot.code if lot else None,
        keeping=Keeping(
            made_on=lot.deed.on if lot else None,
            best_before=lot.expires if lot else None,
            months=card.keeps_months,
            opened_months=card.opened_months,
            once=card.once,
        ),
        maker=workshop.name,
        place=workshop.address,
        contact=workshop.contact,
        responsible=card.responsible,
        origin=card.origin,
        directions=card.directions,
        cautions=card.cautions,
        no_cautions=card.no_cautions,
        notes=notes,
        unfit=_unfit(lot),
    )


def _unfit(lot: Lot | None) -> tuple[str, ...]:
    """Why no clean label goes onto this lot today."""
    if lot is None:
        return ()
    found = fitness(lot, Purpose.LABEL, today())
    return tuple(reason.says for reason in found.reasons)


def _listed(
    item: Item, lot: Lot | None, rules: RuleSet, basis: str | None, names: NameBook
) -> tuple[tuple[str, ...], str, tuple[str, ...]]:
    """The names, or why there are none, and what a person should know of them."""
    source = lot or Lot.objects.filter(item=item).order_by("-pk").first()
    if source is None:
        return (), f"No {item} was made yet from which to tell.", ()
    try:
        made = declare_lot(source, rules, basis, names)
    except Refused as refusal:
        return (), str(refusal), ()
    told = () if lot else (f"The list is that of {source}, the last lot made.",)
    return made.ingredients, "", (*told, *made.notes)
