"""What no text of the book says: that somebody is to test soap by mouth."""

from production.quantities.domain.refusal import Refused
from production.record.domain.taste_tests import (
    goes_by_tongue,
    happened_by_tongue,
    instructs_by_tongue,
)

INSTEAD = (
    "Lye is never tested by tongue: it burns, and it proves nothing. Dissolve a sample "
    "in alcohol and add phenolphthalein, or titrate it"
)


def never_judged_by_tongue(*texts: str) -> None:
    """No verdict goes by tongue, whatever else is told beside it."""
    if any(goes_by_tongue(text) for text in texts):
        raise Refused(
            f"{INSTEAD}, and note what that says. What happened by accident is noted "
            "as a step, in your own words."
        )


def never_noted_by_tongue(*texts: str) -> None:
    """What was done; an accident or a deviation is kept, and counts as no check."""
    if any(happened_by_tongue(text) for text in texts):
        raise Refused(
            f"{INSTEAD}, and note what that says. Was it an accident or a deviation? "
            "Say so in the text, and it is kept in your own words."
        )


def never_asked_by_tongue(where: str, *texts: str) -> None:
    """What others will read and do: a recipe, a rule."""
    if any(instructs_by_tongue(text) for text in texts):
        raise Refused(f"{INSTEAD}: write that in {where} instead.")
