"""Water into paste, and additions into soap that is there."""

from django.core.exceptions import ValidationError

from production.bench.forms.shape import (
    LESS,
    OVER,
    TIMES,
    AdditionsMixin,
    Answer,
    Figure,
    SumForm,
    amount,
    content_of,
    hundred,
    only_one,
    per_cent,
    shown,
    to_place,
)
from production.chemistry.domain.blending import add_to
from production.chemistry.domain.dilution import dilute_by, finish_to, strength_after
from production.pages.forms.fields import NumberField, PercentField
from production.quantities.domain.units import A_KILO
from production.stock.forms.fields import LotField


class DilutionForm(AdditionsMixin, SumForm):
    name, heading = "dilution", "Dilution of a paste"
    about = "By parts of water, or to a soap content, with additions if you like."
    paste = amount("Paste, g", help_text="Left empty, 1,000 g.")
    content = PercentField(label="Its soap content, %", required=False, high=True)
    lot = LotField(label="Or its lot", required=False)
    wanted = PercentField(
        label="Soap content wanted, %",
        required=False,
        high=True,
    )
    parts = NumberField(
        label="Or parts of water to 1 part of paste",
        places=3,
        required=False,
    )
    field_order = ("paste", "content", "lot", "wanted", "parts")

    def worked(self, facts):
        content, said = content_of(self, "content", "lot")
        paste = facts["paste"].grams_or_pieces if facts["paste"] else A_KILO
        asks = "Write the soap content wanted or the parts of water, one of the two."
        if only_one(facts, ("wanted", "parts"), asks) == "parts":
            return self._by_parts(paste, content, said)
        return self._to_content(paste, content, said)

    def _by_parts(self, paste, content, said):
        if added := self.additions():
            place = next(n for n in (1, 2, 3) if self.cleaned_data[f"share_{n}"])
            says = f"To fit {next(iter(added))} in, write the soap content wanted."
            raise ValidationError({f"share_{place}": says})
        parts = self.cleaned_data["parts"]
        made, after = dilute_by(paste, parts), strength_after(content, parts)
        return Answer(
            [
                Figure("Soap content", after, "share"),
                Figure("Water", made.water),
                Figure("Together", made.total),
            ],
            f"{per_cent(content, 2)} {OVER} (1 + {to_place(parts, 3)}) = "
            f"{per_cent(after, 2)}; {shown(paste)} {TIMES} {to_place(parts, 3)} = "
            f"{shown(made.water)} water",
            [said] if said else [],
        )

    def _to_content(self, paste, content, said):
        wanted, added = self.cleaned_data["wanted"], self.additions()
        self._check(content, wanted, added)
        made = finish_to(paste, content, wanted, added)
        less = f" {LESS} additions" if added else ""
        notes = [
            f"1 part of paste to {to_place(made.water / paste, 2)} parts of water."
        ]
        return Answer(
            [Figure("Water", made.water), Figure("Finished", made.total)],
            f"{shown(paste)} {TIMES} {hundred(content, 2)} {OVER} "
            f"{hundred(wanted, 2)} = {shown(made.total)}; {LESS} {shown(paste)} paste"
            f"{less} = {shown(made.water)} water",
            [said, *notes] if said else notes,
            weigh=tuple(Figure(name, grams) for name, grams in made.additions.items()),
        )

    def _check(self, content, wanted, added):
        """What the domain refuses in fractions is said in percent, at its field."""
        if not wanted:
            raise ValidationError({"wanted": "Write a soap content above 0 %."})
        if wanted > content:
            says = (
                f"A paste of {per_cent(content)} soap cannot be diluted to "
                f"{per_cent(wanted)}: ask for less, or cook a drier paste."
            )
            raise ValidationError({"wanted": says})
        room = 1 - wanted / content
        if sum(added.values()) > room:
            says = (
                f"The paste leaves {per_cent(room, 2)} of the finished mass for "
                f"additions and water, and the additions alone are "
                f"{per_cent(sum(added.values()), 2)}: ask for less soap or smaller "
                "additions."
            )
            raise ValidationError({"wanted": says})


class AdditionsForm(AdditionsMixin, SumForm):
    name, heading = "additions", "Additions to soap that is there"
    about = "Each as a share of the finished mass."
    soap = amount("Soap at hand, g", required=True)
    field_order = ("soap",)

    def worked(self, facts):
        shares, soap = self.additions(), facts["soap"].grams_or_pieces
        together = sum(shares.values())
        if not shares:
            raise ValidationError({"share_1": "Write the share of one addition."})
        if together >= 1:
            says = (
                f"The additions are {per_cent(together)} of the finished mass: make "
                "them smaller, they leave no room for soap."
            )
            raise ValidationError({"share_1": says})
        made = add_to(soap, shares)
        return Answer(
            [Figure(name, grams) for name, grams in made.additions.items()]
            + [Figure("Finished", made.total)],
            f"{shown(soap)} {OVER} (1 {LESS} {to_place(together, 4)}) = "
            f"{shown(made.total)}; of that each its share",
            ["More than the share of the soap alone, since the whole grows with it."],
        )

    def additions_open(self):
        return True
