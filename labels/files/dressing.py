"""How the labels of a product are dressed, from its card and the kept mark."""

from pathlib import Path
from typing import cast

from django.conf import settings

from labels.domain.codes import BatchCode
from labels.domain.dress import Design, Dress, Form
from labels.domain.front import printed_name
from labels.files.marks import mark_of
from labels.models import LabelCard, MakersMark
from labels.reads.marks import mark_for
from production.papers.files.attachments import load
from production.quantities.domain.refusal import Refused


def dress_for(card: LabelCard) -> Dress:
    """With the mark of its product. Refused where its file is gone."""
    return dress_of(card, mark_for(card.item), settings.HOME)


def dress_of(card: LabelCard, mark: MakersMark | None, home: Path) -> Dress:
    """``mark`` is the row of the mark, if there is one; ``home`` keeps its bytes.

    Refused where they are gone.
    """
    drawn = None
    if mark:
        raw = load(home, mark.sha256)
        if raw is None:
            raise Refused(f"The file of the mark {mark} is gone: give it once more.")
        drawn = mark_of(mark.type, raw)
    return Dress(
        form=cast(Form, card.layout),
        design=cast(Design, card.design),
        product=printed_name(card.product, card.item.name),
        scent=" ".join(card.scent.split()),
        mark=drawn,
        leaflet=card.leaflet,
        estimated=card.estimated,
        shelf=card.shelf,
        batch_code=cast(BatchCode, card.batch_code),
    )
