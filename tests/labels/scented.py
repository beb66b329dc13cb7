"""Bottles of scented soap, made here from oil and potash, and their assessment."""

from decimal import Decimal

from labels.actions.assessments import Covered, note_assessment
from production.models import Formula, ReferenceOil
from production.recipes.actions.formulas import NewVersionLine
from tests import make


def scented_bottles():
    """Ten bottles of soap with 1 % of a fragrance, made by the first version."""
    lavender = make.item("lavender", category="fragrance", own_inci="Parfum")
    soap = make.item("scented soap", kind="made")
    olive = ReferenceOil.objects.get(key="olive-oil")
    oil = make.item("olive oil", category="oil", oil=olive)
    water = make.item("water", category="water", own_inci="Aqua")
    paste = make.batch(
        "cook",
        uses=[
            (make.lot(item=oil), "700"),
            (make.koh(), "140"),
            (make.lot(item=water), "400"),
        ],
        makes="paste",
        amount="900",
    )
    recipe = make.version(
        "finishing",
        name="Tideline",
        makes=soap,
        lines=[
            NewVersionLine(paste.item, share=Decimal("0.89")),
            NewVersionLine(water, share=Decimal("0.1")),
            NewVersionLine(lavender, share=Decimal("0.01")),
        ],
    )
    made = make.batch(
        "finishing",
        uses=[
            (paste, "890"),
            (make.lot(item=water), "100"),
            (make.lot(item=lavender), "10"),
        ],
        makes="scented soap",
        amount="1000",
        version=recipe,
    )
    container = make.item(
        "bottle 250", kind="packaging", unit="piece", serves_as="container"
    )
    return make.batch(
        "filling",
        uses=[(made, "1000"), (make.lot(grams="10", item=container), "4")],
        makes="scented 250",
        unit="piece",
        amount="4",
        net_mass="250",
    )


def note(lot, **facts):
    item = make.item("lavender")
    told = {
        "item": lot.item,
        "rules": "eu",
        "reference": "CPSR-7",
        "assessor": "Ada Birch",
        "assessed_on": make.day(1),
        "notification": "4711",
        "fragrances": {item: Decimal("0.01")},
        "pack": make.item("bottle 250"),
        "recipes": (Covered(lot_recipe(), 1, None),),
    }
    return note_assessment(**(told | facts), **make.act(20))


def lot_recipe():
    return Formula.objects.get(name="Tideline")
