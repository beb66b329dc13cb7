"""Two bottles of scented soap, with all that a label for the Union leans on."""

from decimal import Decimal

import pytest
from django.urls import reverse

from labels.models import LabelCard
from production.fragrance.actions import note_document
from production.models import Lot, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine
from production.release.actions.readings import note_measurement
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.cards import set_up_workshop
from tests import make
from tests.labels.scented import note
from tests.labels.test_label_page import CARD
from tests.once import remembered

__all__ = ["bottles", "card", "second"]

LINALOOL, CITRAL = {"Linalool": Decimal("0.2")}, {"Citral": Decimal("0.2")}


def scent(code, holds=LINALOOL, item="Salt Marsh"):
    """A lot of fragrance; its supplier's document where ``holds`` says what is in."""
    lot = make.lot(code, item=make.item(item, category="fragrance", own_inci="Parfum"))
    if holds is not None:
        document(lot, holds)
    return lot


def document(lot, holds, edition="1"):
    note_document(lot=lot, edition=edition, constituents=holds, **make.act(2))


def cooked(code):
    olive = ReferenceOil.objects.get(key="olive-oil")
    oil = make.item(
        "olive oil",
        category="oil",
        oil=olive,
        own_inci="Olea Europaea Fruit Oil",
        own_potassium_soap="Potassium Olivate",
    )
    water = make.item("water", category="water", own_inci="Aqua")
    uses = [
        (make.lot(item=oil), "700"),
        (make.koh(code=f"K-{code}"), "140"),
        (make.lot(item=water), "400"),
    ]
    return make.batch("cook", uses=uses, makes="paste", amount="900", code=code)


@pytest.fixture
@remembered
def bottles(db):
    """FILL-1 from FIN-1, 2 % of FRA-1 in it, assessed, of a maker in France."""
    set_up_workshop(
        name="Atelier Moreau",
        address="3 rue des Salines\n17000 La Rochelle",
        country="FR",
        contact="bonjour@example.org",
    )
    paste, fragrance = cooked("PASTE-1"), scent("FRA-1")
    recipe = make.version(
        "finishing",
        name="Tideline",
        makes=make.item("finished soap", kind="made"),
        lines=[
            NewVersionLine(paste.item, share=Decimal("0.98")),
            NewVersionLine(fragrance.item, share=Decimal("0.02")),
        ],
    )
    soap = make.batch(
        "finishing",
        uses=[(paste, "588"), (fragrance, "12")],
        makes="finished soap",
        amount="600",
        code="FIN-1",
        version=recipe,
    )
    container = make.item(
        "bottle 250", kind="packaging", unit="piece", serves_as="container"
    )
    filled = make.batch(
        "filling",
        uses=[(soap, "500"), (make.lot("BOT-1", grams="50", item=container), "2")],
        makes="soap 250",
        unit="piece",
        amount="2",
        net_mass="250",
        code="FILL-1",
    )
    read_ph(filled)
    note(filled, fragrances={fragrance.item: Decimal("0.03")}, pack=container)
    return filled


@pytest.fixture
def card(desk, bottles):
    written = desk.post(reverse("label-card", args=[bottles.item_id]), CARD)
    assert written.status_code == 302
    return LabelCard.objects.get()


@pytest.fixture
def second(bottles):
    made = make.batch(
        "filling",
        uses=[(lot("FIN-1"), "100"), (lot("BOT-1"), "1")],
        makes="soap 250",
        unit="piece",
        amount="1",
        net_mass="100",
        code="FILL-2",
    )
    read_ph(made)
    return made


def read_ph(lot):
    reading = [Reading("pH", Decimal("9.6"))]
    note_measurement(lot=lot, readings=reading, **make.act(2))


def lot(code):
    return Lot.objects.get(code=code)
