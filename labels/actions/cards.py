"""Writing the plain cards of the labels room."""

from decimal import Decimal
from typing import Any

from django.db import transaction

from labels.domain.codes import read_number
from labels.domain.columns import Faces
from labels.domain.dress import ensure_e
from labels.domain.heights import PI
from labels.domain.layout import ensure_size
from labels.domain.net_contents import read_contents
from labels.domain.sheets import plain_sheet
from labels.domain.substitutes import read_substitutes
from labels.models import LabelAddress, LabelCard, LabelText, Sheet
from labels.reads.rules import rule_set
from production.models import Item
from production.quantities.domain.numbers import plain
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
    card.shelf = read_number(card.shelf)
    if card.declared:
        rule_set(card.rules).contents(read_contents(card.declared))
        if card.estimated:
            ensure_e(read_contents(card.declared).amount)
    read_substitutes(card.substitutes)
    _refuse_nonsense(card)
    if faces is not None:
        _refuse_signs(card, faces, card.width)
        faces.regular.width("".join(f"{card.product}{card.scent}".split()), card.width)
    card.save()
    return card


def _refuse_signs(row: LabelCard | LabelText, faces: Faces, width: Decimal) -> None:
    """What the label's font has no sign for is refused before it is kept."""
    for name in WORDS:
        faces.regular.width("".join(getattr(row, name).split()), width)


def _refuse_nonsense(card: LabelCard) -> None:
    # A label that no paper holds was mistyped.
    plain_sheet("A4", card.width, card.height)
    ensure_size(card.width, card.height)
    if card.adults_only and card.for_children:
        raise Refused("It is for adults only or for children: take one tick away.")
    _refuse_odd_bottle(card)
    if card.cautions.strip() and card.no_cautions:
        raise Refused("There are precautions: take the tick away, or the text.")


def _refuse_odd_bottle(card: LabelCard) -> None:
    bottle = card.bottle()
    if bottle.shape and bottle.unsaid:
        raise Refused(bottle.unsaid)
    measures = (card.panel_height, card.panel_across, card.panel_diameter)
    if not bottle.shape and any((*measures, card.panel_surface)):
        raise Refused("You measured the bottle: choose what it is like, too.")
    if bottle.shape == "round" and bottle.across and bottle.diameter:
        around = bottle.diameter * PI
        if abs(bottle.across - around) > around / 50:
            raise Refused(
                f"A round bottle of {plain(bottle.diameter)} mm is "
                f"{plain(around.quantize(Decimal(1)))} mm round, not "
                f"{plain(bottle.across)}: give one of the two."
            )
    if (
        bottle.shape in ("flat", "round")
        and bottle.height
        and card.height > bottle.height
    ):
        raise Refused(
            f"A label of {plain(card.height)} mm does not lie on a straight wall of "
            f"{plain(bottle.height)} mm: measure the wall again, or choose a lower "
            "label."
        )
    area = card.height * card.width
    if bottle.shape == "other" and bottle.surface and bottle.surface < area:
        raise Refused(
            f"The label has {plain(area / 100)} cm² and the bottle "
            f"{plain(bottle.surface / 100)}: measure its surface again."
        )
    bottle.panel(card.height, card.width)


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
