"""Two pastes or soaps into one: by soap content, or by how thick they are."""

from decimal import Decimal

from django.core.exceptions import ValidationError

from production.bench.forms.shape import (
    LESS,
    OVER,
    TIMES,
    Answer,
    Figure,
    SumForm,
    amount,
    content_of,
    hundred,
    per_cent,
    shown,
    to_place,
)
from production.chemistry.domain.blending import blend_to, thickness_blend
from production.pages.forms.fields import NumberField, PercentField
from production.stock.forms.fields import LotField

SAMPLE = Decimal(100)
GUESS = (
    "A first guess only: soap thickened with salt can come out thicker or thinner than "
    "both. Blend a bench sample first, let it stand for a day and measure it."
)


class BlendForm(SumForm):
    name, heading = "blend", "Two pastes or soaps into one"
    about = "How much of each gives a soap content between them."
    first = PercentField(label="First, % soap", required=False, high=True)
    first_lot = LotField(label="Or lot of the first", required=False)
    second = PercentField(label="Second, % soap", required=False, high=True)
    second_lot = LotField(label="Or lot of the second", required=False)
    wanted = PercentField(label="Wanted, % soap", high=True)
    total = amount("In all, g", required=True)

    def worked(self, facts):
        first, said = content_of(self, "first", "first_lot")
        second, also = content_of(self, "second", "second_lot")
        wanted, total = facts["wanted"], facts["total"].grams_or_pieces
        check_between(wanted, first, second, per_cent)
        made = blend_to(wanted, first, second, total)
        low, high = hundred(second, 2), hundred(first, 2)
        return Answer(
            [Figure("First", made.first), Figure("Second", made.second)],
            f"{shown(total)} {TIMES} ({hundred(wanted, 2)} {LESS} {low}) {OVER} "
            f"({high} {LESS} {low}) = {shown(made.first)} of the first",
            [note for note in (said, also) if note],
        )


class ThicknessForm(SumForm):
    name, heading = "thickness", "Thick and thin soap into one"
    about = "A first guess at a viscosity between the two."
    thick = NumberField(
        label="Thick, mPa·s", help_text="Both at one temperature.", measured=False
    )
    thin = NumberField(label="Thin, mPa·s", measured=False)
    wanted = NumberField(label="Wanted, mPa·s", measured=False)
    total = amount("In all, g", required=True)

    def worked(self, facts):
        thick, thin, wanted = facts["thick"], facts["thin"], facts["wanted"]
        for name in ("thick", "thin", "wanted"):
            if not facts[name]:
                raise ValidationError({name: "Write a viscosity above 0 mPa·s."})
        check_between(wanted, thick, thin, lambda figure: to_place(figure, 2))
        total = facts["total"].grams_or_pieces
        made = thickness_blend(wanted, thick, thin, total)
        bench = thickness_blend(wanted, thick, thin, SAMPLE)
        ends = [to_place(figure, 2) for figure in (wanted, thin, thick)]
        return Answer(
            [Figure("Thick", made.first), Figure("Thin", made.second)],
            f"{shown(total)} {TIMES} ln({ends[0]} {OVER} {ends[1]}) {OVER} "
            f"ln({ends[2]} {OVER} {ends[1]}) = {shown(made.first)} of the thick",
            [
                f"For a sample of 100 g: {shown(bench.first)} thick and "
                f"{shown(bench.second)} thin."
            ],
            remarks=(GUESS,),
        )


def check_between(wanted, first, second, words):
    """What the domain refuses is said here in the unit of the field, at the field."""
    if first == second:
        says = f"Both are {words(first)}, and so is any blend of them."
        raise ValidationError({"wanted": says})
    if not min(first, second) <= wanted <= max(first, second):
        says = (
            f"No blend of {words(first)} and {words(second)} gives {words(wanted)}: "
            "ask for a figure between them."
        )
        raise ValidationError({"wanted": says})
