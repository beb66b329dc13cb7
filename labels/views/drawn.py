"""A label as it is asked for, drawn; and a PDF as an answer."""

from decimal import Decimal

from django.conf import settings
from django.http import HttpResponse

from labels.domain.drawing import Drawing
from labels.domain.heights import Heights, panel
from labels.domain.label import LabelContent, label
from labels.domain.layout import lay_out
from labels.domain.sheets import Geometry
from labels.files import faces
from labels.files.dressing import dress_of
from labels.models import LabelCard
from labels.reads.facts import label_facts
from labels.reads.marks import mark_for
from labels.reads.rules import rule_set
from labels.reads.tables import name_book
from production.models import Lot


def drawn(
    card: LabelCard,
    lot: Lot | None,
    geometry: Geometry,
    **asked: str,
) -> tuple[Drawing, LabelContent]:
    """The label of a lot or a product as large as those of a sheet, and its words;
    ``asked`` as in ``worded``."""
    size = geometry.label_width, geometry.label_height
    content, least = worded(card, lot, size, **asked)
    dress = dress_of(card, mark_for(card.item), settings.HOME)
    return lay_out(content, *size, least, faces(), dress), content


def worded(
    card: LabelCard,
    lot: Lot | None,
    size: tuple[Decimal, Decimal],
    *,
    rules: str = "",
    basis: str = "",
    sold_in: str = "",
) -> tuple[LabelContent, Heights]:
    """The words of a label so wide and high, and the least letters of each; what is not
    asked for otherwise is as the card says."""
    asked = rule_set(rules or card.rules)
    known = label_facts(
        card,
        lot,
        asked,
        basis or None,
        name_book(),
        sold_in=sold_in,
    )
    content = label(known, asked)
    if card.shape == LabelCard.Shape.LABEL:
        shown = panel("label", size[1], size[0])
    else:
        shown = panel(card.shape, card.panel_height, card.panel_across)
    return content, asked.heights(content.contents, shown, asked.clauses)


def pdf_answer(content: bytes, name: str) -> HttpResponse:
    return HttpResponse(
        content,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}.pdf"'},
    )
