"""Brine and stock lye: what to weigh, and how much room it takes."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from production.bench.files import density_tables
from production.bench.forms.shape import (
    LESS,
    OVER,
    TIMES,
    Answer,
    Figure,
    Reading,
    SumForm,
    amount,
    at_the_bench,
    hundred,
    only_one,
    per_cent,
    read_grams,
    shown,
    to_place,
    volume_too,
)
from production.chemistry.domain.solutions import (
    READINGS,
    ROOM,
    SATURATED_BRINE,
    brine,
    check_lye,
    density_at,
    lye_density,
    solution,
    strength_from_density,
    strength_of,
    volume,
)
from production.pages.forms.fields import NumberField, PercentField
from production.quantities.domain.refusal import Refused
from production.recipes.domain.pot import Lye
from production.recipes.reads.tubs import lye_of
from production.stock.forms.fields import ALKALI_CHOICES, LotField

# g/mL at 20 degC.
WATER_DENSITY = Decimal("0.998")
MEANINGS = dict(
    zip(
        READINGS,
        (
            "in 100 g of the whole",
            "to 100 g of water",
            "in 100 mL of the whole",
        ),
        strict=True,
    )
)


def how_warm(label, help_text=""):
    return NumberField(
        label=label,
        places=1,
        signed=True,
        initial="20",
        help_text=help_text,
    )


class BrineForm(SumForm):
    name, heading = "brine", "Brine"
    about = "Salt and water for a strength, or the strength behind a density."
    strength = PercentField(
        label="Strength, % salt",
        required=False,
        high=True,
        help_text="Of the whole brine, by mass.",
    )
    density = NumberField(
        label="Or density as measured, g/mL",
        required=False,
        help_text="Between 1 and 1.2; the strength is read from it.",
    )
    temperature = how_warm("Temperature of the brine, °C")
    total = volume_too("Brine in all", "Grams, or a volume such as 2 L.")
    salt = amount("Or the salt")
    water = volume_too("Or the water", "Grams, or a volume such as 500 mL.")

    def worked(self, facts):
        strength = self._strength(facts)
        names = ("total", "salt", "water")
        given = only_one(facts, names, "Write one amount: brine, salt or water.")
        dense = self._density(strength)
        densities = {"total": dense, "water": WATER_DENSITY}
        known = read_grams(self, given, densities.get(given))
        made = brine(strength, **{given: known})
        return Answer(
            [
                Figure("Salt", made.solute),
                Figure("Water", made.water),
                Figure("Brine", made.total),
            ],
            _salt_working(given, strength, made),
            self._notes(strength, made, dense),
            readings=self._readings({given: known}),
        )

    def _strength(self, facts):
        asks = "Write the strength or the density that was measured, one of the two."
        told = only_one(facts, ("strength", "density"), asks)
        strength, points = facts["strength"], density_tables()["NaCl"]
        if told == "density":
            try:
                strength = strength_from_density(
                    points, facts["density"], facts["temperature"]
                )
            except Refused as fault:
                raise _off(facts, points) from fault
        if not strength:
            raise ValidationError({told: "Write a strength above 0 %."})
        if strength > SATURATED_BRINE:
            most = per_cent(SATURATED_BRINE)
            raise ValidationError(
                {
                    told: f"A brine holds at most {most} salt: at {per_cent(strength)} "
                    "part of it stays undissolved. Ask for a weaker brine."
                }
            )
        return strength

    def _density(self, strength):
        warm = self.cleaned_data["temperature"]
        try:
            return density_at(density_tables()["NaCl"], strength, warm)
        except Refused:
            return None

    def _notes(self, strength, made, dense):
        warm = to_place(self.cleaned_data["temperature"], 1)
        read = [f"The brine is {per_cent(strength)} salt by mass."]
        if self.cleaned_data["strength"]:
            read = []
        if dense is None:
            span = "1 to 26 % and from 15 to 25 °C"
            return [*read, f"No density is given: the table goes from {span}."]
        takes = shown(volume(made.total, dense), "mL")
        return [*read, f"{to_place(dense, 4)} g/mL at {warm} °C: it takes {takes}."]

    def _readings(self, given):
        """The same figure, read in each of the three ways, for the same amount."""
        if not self.cleaned_data["strength"]:
            return ()
        return tuple(self._read(reading, given) for reading in READINGS)

    def _read(self, reading, given):
        figure = self.cleaned_data["strength"] * 100
        words = f"{to_place(figure, 2)} g {MEANINGS[reading]}"
        points, warm = density_tables()["NaCl"], self.cleaned_data["temperature"]
        try:
            strength = strength_of(reading, figure, points=points, temperature=warm)
        except Refused:
            return Reading(words, why="The table of densities does not reach that far.")
        made = brine(strength, **given)
        return Reading(words, strength, made.solute, made.water)


def _salt_working(given, strength, made):
    part = hundred(strength, 2)
    water = f"(100 {LESS} {part})"
    whole, salt = shown(made.total), shown(made.solute)
    return {
        "total": f"{whole} brine {TIMES} {part} {OVER} 100 = {salt} salt",
        "salt": f"{salt} salt {TIMES} {water} {OVER} {part} = "
        f"{shown(made.water)} water",
        "water": f"{shown(made.water)} water {TIMES} {part} {OVER} {water} = "
        f"{salt} salt",
    }[given]


def _off(facts, points):
    """A density that the table does not hold: at its field, or at the temperature."""
    warm, known = facts["temperature"], {p.temperature for p in points}
    if not min(known) <= warm <= max(known):
        low, high = to_place(min(known), 1), to_place(max(known), 1)
        says = f"Densities are known here from {low} to {high} °C: measure it there."
        return ValidationError({"temperature": says})
    here = [p.density for p in points]
    span = f"{to_place(min(here), 3)} to {to_place(max(here), 3)}"
    says = f"The table of brines goes from {span} g/mL: read the hydrometer again."
    return ValidationError({"density": says})


class LyeForm(SumForm):
    name, heading = "lye", "Lye to keep in stock"
    about = "Alkali and water for a strength, counted as pure alkali."
    lot = LotField(
        label="Alkali, lot",
        required=False,
        help_text="Its purity is taken from the book.",
    )
    alkali = forms.ChoiceField(
        label="Or the alkali",
        choices=ALKALI_CHOICES,
        initial="KOH",
    )
    purity = PercentField(label="And its purity, %", required=False, high=True)
    strength = PercentField(
        label="Strength of the lye, %",
        high=True,
        help_text="Pure alkali in 100 g of the lye.",
    )
    total = volume_too("Lye in all", "Grams, or a volume such as 2 L.")
    weighed = amount("Or the alkali at hand", help_text="As it is weighed.")
    temperature = how_warm(
        "Coldest place it stands in, °C", "Lye that is too strong for it crystallises."
    )

    def worked(self, facts):
        alkali, lye = self._alkali(facts)
        strength = self._strength(lye)
        names = ("total", "weighed")
        given = only_one(facts, names, "Write one amount: the lye or the alkali.")
        dense = _lye_density(alkali, strength)
        known = read_grams(self, given, dense)
        made = (
            solution(strength, total=known)
            if given == "total"
            else solution(strength, solute=known * lye.purity)
        )
        weighed = made.solute / lye.purity
        return Answer(
            [
                Figure(f"{alkali} to weigh", weighed),
                Figure("Water", made.total - weighed),
                Figure("Lye", made.total),
            ],
            _lye_working(alkali, strength, lye, made, weighed),
            _lye_notes(lye, made, dense),
            remarks=self._remarks(alkali, made, weighed * lye.carbonate),
            caution="lye",
        )

    def _alkali(self, facts):
        asks = "Write the lot or a purity, one of the two: none is assumed."
        if only_one(facts, ("lot", "purity"), asks) == "purity":
            if not facts["purity"]:
                raise ValidationError({"purity": "Write a purity above 0 %."})
            return facts["alkali"], Lye(facts["purity"], basis="as typed")
        lot = facts["lot"]
        if not lot.item.alkali:
            says = f"{lot} is neither KOH nor NaOH: write the code of an alkali."
            raise ValidationError({"lot": says})
        try:
            return lot.item.alkali, lye_of(lot)
        except Refused as fault:
            raise ValidationError({"lot": str(fault)}) from fault

    def _strength(self, lye):
        strength = self.cleaned_data["strength"]
        if not strength:
            raise ValidationError({"strength": "Write a strength above 0 %."})
        if strength >= lye.purity:
            raise ValidationError(
                {
                    "strength": f"The alkali itself is {per_cent(lye.purity)}: that "
                    "leaves no water to add. Ask for a weaker lye."
                }
            )
        return strength

    def _remarks(self, alkali, made, carbonate):
        warm = self.cleaned_data["temperature"]
        try:
            said = check_lye(alkali, made.solute, made.water - carbonate, warm)
        except Refused as fault:
            raise ValidationError({"temperature": at_the_bench(str(fault))}) from fault
        return (at_the_bench(said),) if said else ()


def _lye_density(alkali, strength):
    """At 20 degC, the only column there is; None where that lye is not clear."""
    try:
        return lye_density(alkali, strength, density_tables(), ROOM)
    except Refused:
        return None


def _lye_working(alkali, strength, lye, made, weighed):
    return (
        f"{shown(made.total)} {TIMES} {hundred(strength, 2)} {OVER} 100 = "
        f"{shown(made.solute)} pure {alkali}; {OVER} {to_place(lye.purity, 4)} = "
        f"{shown(weighed)} to weigh; {shown(made.total)} {LESS} {shown(weighed)} = "
        f"{shown(made.total - weighed)} water"
    )


def _lye_notes(lye, made, dense):
    known = f"lot {lye.source}, {lye.basis}" if lye.source else lye.basis
    notes = [
        f"Purity {per_cent(lye.purity)}, {known}; what else is in the alkali counts as "
        "water of the lye."
    ]
    if dense is None:
        notes.append("No density is given: at 20 °C no clear lye of it is tabled.")
    else:
        takes = shown(volume(made.total, dense), "mL")
        notes.append(
            f"{to_place(dense, 3)} g/mL at 20 °C: it takes {takes} once it has cooled."
        )
    return notes
