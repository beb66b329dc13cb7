"""``manage.py saponify FILE``: alkali and soap of a recipe, without a database."""

from production.chemistry.domain.saponification import saponify
from production.chemistry.domain.saponify_file import read_pot, report
from production.pages.commands import HouseCommand, as_json, read_json
from production.quantities.domain.numbers import grams

EXAMPLE = """\
FILE is JSON; fractions, not percent. Example:

  echo '{"oils": [{"name": "olive", "grams": "600", "sv": "190.5"},
                  {"name": "coconut", "grams": "400", "sv": "255"}],
         "superfat": "0.03", "koh_purity": "0.90",
         "lye_strength": "0.30"}' | python manage.py saponify - --json

Every oil needs grams and sv (mg KOH per g); the purity of each alkali used and of
each acid is never assumed. Other keys: acid_value, unsaponifiable, kind (fat, acid,
wax) of an oil; koh_share (by mole), koh_carbonate, naoh_purity, naoh_carbonate,
acids ({kind: citric, citric monohydrate, lactic or acetic, grams, purity}), one of
water, lye_strength (pure alkali / whole lye), water_per_alkali (water / alkali as
weighed), and evaporated.
"""

ROWS = (
    ("To weigh in", None),
    ("potassium hydroxide (KOH)", "koh_weighed"),
    ("sodium hydroxide (NaOH)", "naoh_weighed"),
    ("water for the lye", "lye_water"),
    ("In the pot when it is done", None),
    ("potassium soap", "soap_potassium"),
    ("sodium soap", "soap_sodium"),
    ("glycerol formed", "glycerol"),
    ("oil left over", "leftover_oil"),
    ("unsaponified matter", "unsaponified"),
    ("salts of the acids", "acid_salts"),
    ("carbonate", "carbonate"),
    ("free KOH", "free_koh"),
    ("free NaOH", "free_naoh"),
    ("water left in the paste", "water_in_paste"),
    ("paste", "paste"),
)

CAUTIONS = """\
Before you weigh the alkali
  Lye burns skin and blinds. Read the supplier's safety data sheet first.
  Wear goggles and gloves, and see to fresh air.
  Always add the alkali to the water, in portions; never water onto alkali.
  The lye heats up by itself, to the boil if it is strong: no glass, no aluminium.
"""


class Command(HouseCommand):
    help = "Work out alkali, soap, glycerol and water of a recipe; nothing is stored."
    requires_system_checks: list[str] = []

    example = EXAMPLE

    def add_arguments(self, parser):
        parser.add_argument("file", metavar="FILE", help="JSON recipe; - is stdin")
        parser.add_argument("--json", action="store_true", help="answer in JSON")

    def answer(self, *, file, json, **options):
        pot, assumed = read_pot(read_json(file))
        result = saponify(pot)
        return as_json(report(result, assumed)) if json else _table(result, assumed)


def _table(result, assumed):
    lines = []
    for words, name in ROWS:
        if name is None:
            lines += ["", words]
        else:
            value = getattr(result, name)
            shown = (
                "not known: no water given" if value is None else f"{grams(value)} g"
            )
            lines.append(f"  {words:<28}{shown:>14}")
    if result.soap_fraction is not None:
        lines.append(f"  {'soap content':<28}{100 * result.soap_fraction:>12.3f} %")
    if assumed:
        lines += ["", "Assumed, because not stated"]
        lines += [f"  {path} = {value}" for path, value in assumed.items()]
    if result.remarks:
        lines += ["", "Look at this first", *(f"  {said}" for said in result.remarks)]
    return "\n".join([*lines[1:], "", CAUTIONS])
