"""A small workshop that cooks, thins, finishes and fills one soap; nothing made yet.

Its recipes and losses are invented, those of the demo, with all their steps and
checks; the oils are published ones.
"""

from decimal import Decimal
from types import SimpleNamespace

from production.models import ReferenceOil
from production.recipes.actions.formulas import NewVersionLine, write_version
from production.workshop.actions.cards import add_item, add_vessel, set_up_workshop
from tests import make
from tests.once import remembered
from tests.wrackline import wording

OILS = {
    "High-oleic safflower oil": ("safflower-seed-oil-high-oleic", "0.70", "SAF-1"),
    "Babassu oil": ("babassu-oil", "0.22", "BAB-1"),
    "Oleic acid": ("oleic-acid", "0.08", "OLE-1"),
}
BOUGHT = {
    "Glycerin": ("additive", "GLY-1", "2000"),
    "Salt Marsh fragrance": ("fragrance", "FRA-1", "500"),
    "Salt": ("salt", "SALT-1", "1000"),
}


def potash(code="KOH-1", purity="0.899", grams="5000", **facts):
    return make.koh(purity=purity, carbonate="0.004", code=code, grams=grams, **facts)


def oils():
    """Their cards, each with its published oil."""
    return {
        name: make.item(
            name, category="oil", oil=ReferenceOil.objects.get(key=published)
        )
        for name, (published, _, _) in OILS.items()
    }


@remembered
def workshop(*, bottles="30", units="metric", paper="A4"):
    """Stock for forty bottles, but for bottles: ten of them are missing."""
    set_up_workshop(
        name="Wrackline Soap Works",
        units=units,
        paper=paper,
        emergency="Ambulance: 911\nPoison Help: 1-800-222-1222",
    )
    kettle = add_vessel(name="Kettle, 24 L", volume=Decimal(24000), tare=Decimal(3180))
    add_item(name="Filtered tap water", category="water", on_tap=True)
    for name, card in oils().items():
        make.lot(OILS[name][2], grams="20000", item=card)
    for name, (category, code, grams) in BOUGHT.items():
        make.lot(code, grams=grams, item=make.item(name, category=category))
    for name, code, pieces in (("Bottle", "BOT-1", bottles), ("Label", "LAB-1", "60")):
        card = make.item(name, kind="packaging", unit="piece")
        make.lot(code, grams=pieces, item=card)
    return SimpleNamespace(kettle=kettle, potash=potash(), **recipes())


def recipes():
    """Every stage of it, by a word for each."""
    return {
        "cook": write(
            "Tideline, cook",
            "cook",
            "Tideline paste",
            {name: share for name, (_, share, _) in OILS.items()},
            superfat="0.02",
            water_per_alkali="2.2",
            loss="0.031",
            release="check",
            rest_days=1,
            **wording("Tideline, cook"),
        ),
        "brine": write(
            "Brine", "preparation", "Brine, 20 %", {"Salt": "0.20"}, loss="0"
        ),
        "dilution": write(
            "Tideline, dilution",
            "dilution",
            "Tideline, diluted",
            {"Tideline paste": "0.336"},
            target_soap="0.216",
            loss="0.007",
            **wording("Tideline, dilution"),
        ),
        "finishing": write(
            "Tideline, finishing",
            "finishing",
            "Tideline, finished",
            {
                "Tideline, diluted": "0.926",
                "Glycerin": "0.030",
                "Salt Marsh fragrance": "0.012",
                "Brine, 20 %": "0.032",
            },
            loss="0.005",
            release="check",
            **wording("Tideline, finishing"),
        ),
        "filling": filling("Tideline 245 g", "245"),
    }


def filling(makes, grams):
    """So many grams, a bottle and a label."""
    each = {"Tideline, finished": grams, "Bottle": "1", "Label": "1"}
    return write_version(
        name=f"{makes}, filling",
        stage="filling",
        makes=make.item(makes, kind="made", unit="piece"),
        lines=[
            NewVersionLine(make.item(part), each=Decimal(amount))
            for part, amount in each.items()
        ],
        loss=Decimal(0),
        rest_days=10,
        **wording("Tideline 8 fl oz, filling"),
        **make.act(1),
    )


def write(name, stage, makes, shares, **terms):
    figures = {"superfat", "water_per_alkali", "loss", "target_soap"}
    return write_version(
        name=name,
        stage=stage,
        makes=make.item(makes, kind="made"),
        lines=[
            NewVersionLine(make.item(part), share=Decimal(share))
            for part, share in shares.items()
        ],
        **{k: Decimal(v) if k in figures else v for k, v in terms.items()},
        **make.act(1),
    )
