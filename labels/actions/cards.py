"""Writing the plain cards of the labels room."""

from decimal import Decimal
from typing import Any

from django.db import transaction

from labels.domain.columns import Faces
from labels.domain.heights import panel
from labels.domain.net_contents import read_contents
from labels.domain.sheets import plain_sheet
from labels.models import LabelAddress, LabelCard, LabelText, Sheet
from labels.reads.rules import rule_set
from production.models import Item
from production.quantities.domain.refusal import Refused
from production.record.actions.deeds import ensure_valid
from production.record.reads.countries import countries

WORDS = (
    "identity",
    "function",
    "directions",
    "cautions",
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
    if card.declared:
        rule_set(card.rules).contents(read_contents(card.declared))
    _refuse_nonsense(card)
    if faces is not None:
        _refuse_signs(card, faces, card.width)
    card.save()
    return card


def _refuse_signs(row: LabelCard | LabelText, faces: Faces, width: Decimal) -> None:
    """What the label's font has no sign for is refused before it is kept."""
    for name in WORDS:
        faces.regular.width("".join(getattr(row, name).split()), width)


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
def write_label_text(
    *,
    card: LabelCard,
    text: LabelText | None = None,
    faces: Faces | None = None,
    **facts: Any,
) -> LabelText:
    """Say the same in another language; refused in the card's own."""
    row = text or LabelText(card=card)
    for name, value in facts.items():
        setattr(row, name, value)
    if row.language == card.language:
        raise Refused(
            "The card itself is written in this language: change the card, or choose "
            "the language of this text."
        )
    if faces is not None:
        _refuse_signs(row, faces, card.width)
    ensure_valid(row)
    row.save()
    return row


@transaction.atomic
def write_label_address(
    *, address: LabelAddress | None = None, **facts: Any
) -> LabelAddress:
    """Write who answers for the goods under one set of rules; one for each."""
    row = address or LabelAddress()
    for name, value in facts.items():
        setattr(row, name, value)
    rule_set(row.rules)
    if row.country not in countries():
        raise Refused(f"{row.country!r} is no country: choose one from the list.")
    ensure_valid(row)
    row.save()
    return row


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
