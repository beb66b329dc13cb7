"""What a label is asked that its bottle and its contents decide."""

from typing import Literal

from labels.domain.contents_text import Declared
from labels.domain.elements import PRESENT, Answer, Check, missing, not_needed
from labels.domain.facts import Body, LabelFacts
from labels.domain.net_contents import read_contents
from labels.domain.rules import RuleSet
from production.quantities.domain.refusal import Refused

Measured = Literal["volume", "weight", "either"]


def bottle_measured(facts: LabelFacts, rules: RuleSet) -> Answer:
    """The panel is known, where the height of letters goes by its area."""
    why = facts.bottle.unsaid
    return missing(why) if why else PRESENT


def measured_as(paste: Measured) -> Check:
    """A liquid is declared by volume, a thick paste as these rules say.

    An ounce on a liquid is asked about: it is a weight, and mostly a fluid ounce was
    meant.
    """

    def check(facts: LabelFacts, rules: RuleSet) -> Answer:
        try:
            declared = read_contents(facts.declared)
        except Refused:
            return not_needed("The contents are not said yet.")
        return _measured(declared, facts.body, paste)

    return check


def _measured(declared: Declared, body: Body, paste: Measured) -> Answer:
    is_a = "a volume" if declared.by_volume else "a weight"
    asked: Measured = "volume" if body == "liquid" else paste
    if not body:
        if declared.by_volume and paste != "weight":
            return PRESENT
        return missing(
            f"{declared.typed} is {is_a}. Say on the label card whether it is a liquid "
            f"or a thick paste: a liquid is declared by volume{_AS_PASTE[paste]}."
        )
    if asked == "either" or (asked == "volume") is declared.by_volume:
        return PRESENT
    if body == "paste" and asked == "weight":
        return missing(
            f"A thick paste is declared by weight: {declared.typed} is a volume. Write "
            "the weight, such as 24 oz or 680 g."
        )
    what = "A liquid" if body == "liquid" else "A thick paste"
    ounces = any(part.unit == "oz" for one in declared.figures for part in one.parts)
    such = "fl oz if fluid ounces were meant, or mL" if ounces else "fl oz or mL"
    return missing(
        f"{what} is declared by volume: {declared.typed} is a weight. Write {such}."
    )


_AS_PASTE = {
    "volume": ", and so is a paste",
    "weight": ", a paste by weight",
    "either": ", a paste as its trade does",
}


def worded_otherwise(typed: str, rules: RuleSet) -> tuple[str, ...]:
    """A note where a whole statement was typed that would not do as it stands.

    One amount alone is no statement: the rest of it is worked out.
    """
    try:
        declared = read_contents(typed)
        printed = rules.contents(declared)
    except Refused:
        return ()
    faults = rules.faults(typed) if len(declared.figures) > 1 else ()
    if not faults:
        return ()
    return (f"Of {typed} the label makes {printed}. {' '.join(faults)}",)
