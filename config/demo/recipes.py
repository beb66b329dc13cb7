"""The recipes of the house, each stage of Tideline and Slipway; two were rewritten.

The limits of the checks are the house's own, no standard's: common practice, no source.
"""

from datetime import date
from decimal import Decimal

from config.demo.diary import Diary, day, item
from config.demo.workshop import People
from production import actions
from production.actions import NewCheck, NewVersionLine
from production.models import Version

COOK_STEPS = """\
Goggles, gloves and sleeves on; alkali into water, never water onto alkali.
Melt the oils at 70 °C.
0:00 Pour the lye in slowly; blend.
0:25 Thick trace: lid on, heat to 85 to 90 °C. Stir every 20 minutes.
1:45 Half way: scrape the wall and the bottom, look for dry pockets.
3:05 Heat off. Drop test of samples from several spots.
3:30 One part of paste in two parts of warm distilled water: a test jar.
24:00 The jar stood overnight and is clear; drop test of the cold paste."""
DILUTION_STEPS = """\
Warm the water to 60 °C.
0:00 Paste into the water, lid on; do not stir foam into it.
24:00 Soft by morning: stir once, slowly.
48:00 Even throughout: weigh it."""
FINISH_STEPS = """\
Below 40 °C before the fragrance goes in; no flame near it.
Glycerin, then fragrance, then brine in portions; measure the thickness each time.
Stop before the peak: more salt thins it again."""
FILL_STEPS = """\
Bottles upright, filled by weight.
Keep one of each filling. Labels go on after the rest."""

OWN = "the house's own limit"
LYE_USED_UP = NewCheck("neutrality")
TITRATED = NewCheck(
    "free alkali", high=Decimal("0.0005"), how=f"where titrated, as KOH; {OWN}"
)
MILD = NewCheck(
    "pH", Decimal(9), Decimal("10.5"), f"10 % in distilled water at 20 °C; {OWN}"
)
# What the curve of the first pot taught.
THICK = NewCheck(
    "thickness", Decimal(2800), Decimal(3400), f"at 20 °C, the same spindle; {OWN}"
)
COOK_CHECKS = (
    NewCheck("temperature", high=Decimal(92), how=f"above it the pot climbs; {OWN}"),
    LYE_USED_UP,
    TITRATED,
    NewCheck(
        "soap content",
        Decimal("0.62"),
        Decimal("0.66"),
        f"worked out from what was weighed; {OWN}",
    ),
    NewCheck("clarity", how="test jar 1:2 in warm distilled water, overnight"),
)
FINISH_CHECKS = (LYE_USED_UP, MILD, TITRATED)

COOK = {"superfat": "0.02", "water_per_alkali": "2.2", "loss": "0.031"}
PASTE = {
    "release": "check",
    "rest_days": 1,
    "shelf_days": 730,
    "steps": COOK_STEPS,
    "checks": COOK_CHECKS,
}
SOFTENED = {"release": "making", "shelf_days": 30, "steps": DILUTION_STEPS}
FINISHED = {
    "release": "check",
    "shelf_days": 30,
    "steps": FINISH_STEPS,
    "checks": FINISH_CHECKS,
}

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

# Second thoughts: what changes in the latest version of a recipe, and when.
CASTOR_FOR_CANOLA = {
    "Canola oil": "0.40",
    "Palm kernel oil": "0.40",
    "Castor oil": "0.20",
}

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


def plan(diary: Diary, people: People) -> None:
    diary.on(day(1, 5), lambda on: write_recipes(people, on))
    diary.on(day(1, 20), lambda on: _limit_the_thickness(people, on))
    diary.on(day(11, 18), lambda on: _more_castor(people, on))


def write_recipes(people: People, on: date) -> None:
    for of_one in RECIPES:
        _write(people, on, *of_one)
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


def _write(people: People, on: date, name, stage, makes, lines, terms) -> None:
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


def _limit_the_thickness(people: People, on: date) -> None:
    """The first pot showed where the peak is; from now on its recipe holds that."""
    *wording, terms = _first("Tideline, finishing")
    _write(people, on, *wording, terms | {"checks": (*FINISH_CHECKS, THICK)})


def _more_castor(people: People, on: date) -> None:
    """Slipway for the next cook: clearer in the cold, they hope. Not cooked yet."""
    name, stage, makes, _, terms = _first("Slipway, cook")
    _write(people, on, name, stage, makes, CASTOR_FOR_CANOLA, terms)


def _first(name: str) -> tuple:
    return next(of_one for of_one in RECIPES if of_one[0] == name)


def _figures(terms: dict) -> dict:
    shares = {"superfat", "water_per_alkali", "loss", "target_soap"}
    return {
        name: Decimal(value) if name in shares else value
        for name, value in terms.items()
    }


def recipe(name: str) -> Version:
    """The latest wording of a formula."""
    return Version.objects.filter(formula__name=name).order_by("-number")[0]
