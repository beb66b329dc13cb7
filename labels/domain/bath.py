"""The caution of what is added to a bath to make it foam (21 CFR 740.17)."""

from dataclasses import dataclass

# What the table of duties calls it where the rules have such a caution.
BATH_FOAM = "bath foam"
CLAUSE = "21 CFR 740.17(a),(b)"
CAUTION = (
    "Caution—Use only as directed. Excessive use or prolonged exposure may cause "
    "irritation to skin and urinary tract. Discontinue use if rash, redness, or "
    "itching occurs. Consult your physician if irritation persists. Keep out of reach "
    "of children"
)
# 740.17(c): the rule allows these words on bath foam for children.
FOR_CHILDREN = " except under adult supervision"


@dataclass(frozen=True, slots=True)
class FoamingBath:
    """What such a label carries: the caution in the words of the rule, and directions
    for safe use."""

    caution: str
    clause: str = CLAUSE

    def stands_in(self, text: str) -> bool:
        """Whether a text holds the caution; spaces, dashes and capitals aside."""
        return _bare(self.caution) in _bare(text)


def foaming_bath(
    *,
    added_to_bath: bool,
    surfactant: bool = True,
    adults_only: bool = False,
    for_children: bool = False,
) -> FoamingBath | None:
    """The caution where it is due, else None.

    Due of a product meant to be added to a bath to make foam that holds a surfactant
    (soap is one), unless it is labelled for use exclusively by adults.
    """
    if not added_to_bath or not surfactant or adults_only:
        return None
    return FoamingBath(f"{CAUTION}{FOR_CHILDREN if for_children else ''}.")


def _bare(text: str) -> str:
    return "".join(sign for sign in text.casefold() if sign.isalnum())
