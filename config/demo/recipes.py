"""The recipes of the house: one version for each stage of Tideline and Slipway."""

from datetime import date
from decimal import Decimal

from config.demo.diary import item
from config.demo.workshop import People
from production import actions
from production.actions import NewVersionLine
from production.models import Version

COOK_STEPS = """\
Goggles and gloves on; alkali into water, never water onto alkali.
Melt the oils at 70 °C.
Pour the lye in slowly; blend until thick trace, about 25 minutes.
Cook 2 h 40 min at 85 to 90 °C with the lid on, stirring every 20 minutes.
Drop test. One part of paste in two parts of water stands overnight and is clear."""
DILUTION_STEPS = """\
Warm the water to 60 °C, put the paste in, lid on.
Leave it two days; do not stir foam into it."""
FINISH_STEPS = """\
Glycerin, then fragrance, then brine in portions; measure the thickness each time.
Stop before the peak: more salt thins it again."""
FILL_STEPS = """\
Bottles upright, filled by weight.
Keep one of each filling. Labels go on after the rest."""

COOK = {"superfat": "0.02", "water_per_alkali": "2.2", "loss": "0.031"}
PASTE = {"release": "check", "rest_days": 1, "shelf_days": 730, "steps": COOK_STEPS}
SOFTENED = {"release": "making", "shelf_days": 30, "steps": DILUTION_STEPS}
FINISHED = {"release": "check", "shelf_days": 30, "steps": FINISH_STEPS}

# Name, stage, what it makes, lines (share, or pieces and grams for each), terms.
RECIPES = (
    (
        "Tideline, cook",
        "cook",
        "Tideline paste",
        {
            "High-oleic safflower oil": "0.70",
            "Babassu oil": "0.22",
            "Oleic acid": "0.08",
        },
        COOK | PASTE,
    ),
    (
        "Slipway, cook",
        "cook",
        "Slipway paste",
        {"Canola oil": "0.45", "Palm kernel oil": "0.40", "Castor oil": "0.15"},
        COOK | PASTE,
    ),
    (
        "Brine, 20 %",
        "preparation",
        "Brine, 20 %",
        {"Salt": "0.20"},
        {"release": "making", "shelf_days": 365},
    ),
    (
        "Tideline, dilution",
        "dilution",
        "Tideline, diluted",
        {"Tideline paste": "0.336"},
        {"target_soap": "0.216", "loss": "0.007"} | SOFTENED,
    ),
    (
        "Slipway, dilution",
        "dilution",
        "Slipway, diluted",
        {"Slipway paste": "0.1945"},
        {"target_soap": "0.1231", "loss": "0.003"} | SOFTENED,
    ),
    (
        "Tideline, finishing",
        "finishing",
        "Tideline, finished",
        {
            "Tideline, diluted": "0.926",
            "Glycerin": "0.030",
            "Salt Marsh fragrance": "0.012",
            "Brine, 20 %": "0.032",
        },
        {"loss": "0.005"} | FINISHED,
    ),
    (
        "Slipway, finishing",
        "finishing",
        "Slipway, finished",
        {
            "Slipway, diluted": "0.974",
            "Glycerin": "0.020",
            "Salt Marsh fragrance": "0.006",
        },
        {"loss": "0.001"} | FINISHED,
    ),
)

# What it makes, from what, grams in each, bottle, days of rest.
FILLINGS = (
    ("Tideline 8 fl oz", "Tideline, finished", "245", "8 fl oz bottle and cap", 10),
    ("Tideline 16 fl oz", "Tideline, finished", "490", "16 fl oz bottle with pump", 10),
    (
        "Slipway 8 fl oz foamer",
        "Slipway, finished",
        "240.5",
        "8 fl oz foamer bottle",
        5,
    ),
)


def write_recipes(people: People, on: date) -> None:
    for name, stage, makes, lines, terms in RECIPES:
        actions.write_version(
            name=name,
            stage=stage,
            makes=item(makes),
            lines=[
                NewVersionLine(item(part), share=Decimal(share))
                for part, share in lines.items()
            ],
            on=on,
            by=people.ines,
            **_figures(terms),
        )
    for makes, soap, grams, bottle, rest in FILLINGS:
        each = {soap: grams, bottle: "1", "Label": "1"}
        actions.write_version(
            name=f"{makes}, filling",
            stage="filling",
            makes=item(makes),
            lines=[
                NewVersionLine(item(part), each=Decimal(amount))
                for part, amount in each.items()
            ],
            on=on,
            by=people.ines,
            release="hand",
            rest_days=rest,
            shelf_days=730,
            steps=FILL_STEPS,
        )


def _figures(terms: dict) -> dict:
    shares = {"superfat", "water_per_alkali", "loss", "target_soap"}
    return {
        name: Decimal(value) if name in shares else value
        for name, value in terms.items()
    }


def recipe(name: str) -> Version:
    """The latest wording of a formula."""
    return Version.objects.filter(formula__name=name).order_by("-number")[0]
