"""Writing the plain cards of the labels room."""

from typing import Any

from django.db import transaction

from labels.domain.columns import Faces
from labels.domain.heights import panel
from labels.domain.net_contents import net_contents, read_contents
from labels.domain.rules import rule_set
from labels.domain.sheets import plain_sheet
from labels.models import LabelCard, Sheet
from production.models import Item
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import ensure_valid

WORDS = (
    "identity",
    "function",
    "second_language",
    "directions",
    "cautions",
    "responsible",
    "origin",
)


@transaction.atomic
def write_label_card(
    *, item: Item, faces: Faces | None = None, **facts: Any
) -> LabelCard:
    """Write what the labels of a product say; only what is given changes.

    ``faces`` is the label's font: a sign that it lacks is refused at once.
    """
    card = LabelCard.objects.filter(item=item).first() or LabelCard(item=item)
    for name, value in facts.items():
        setattr(card, name, value)
    ensure_valid(card)
    rule_set(card.rules)
    if card.declared:
        net_contents(read_contents(card.declared), card.rules)
    _refuse_nonsense(card)
    if faces is not None:
        for name in WORDS:
            faces.regular.width("".join(getattr(card, name).split()), card.width)
    card.save()
    return card


def _refuse_nonsense(card: LabelCard) -> None:
    # A label that no paper holds was mistyped.
    plain_sheet("A4", card.width, card.height)
    if card.shape != LabelCard.Shape.LABEL:
        if not card.panel_height or not card.panel_across:
            raise Refused("Give the height and the width of the side that is shown.")
        panel(card.shape, card.panel_height, card.panel_across)
    if card.cautions.strip() and card.no_cautions:
        raise Refused("There are precautions: take the tick away, or the text.")


@transaction.atomic
def write_sheet(*, sheet: Sheet | None = None, **numbers: Any) -> Sheet:
    """Add a sheet, or change one; refused where its labels do not fit on the page."""
    row = sheet or Sheet()
    for name, value in numbers.items():
        setattr(row, name, value)
    ensure_valid(row)
    row.geometry()
    row.save()
    return row
