"""What became of a paper that was taken back."""

from typing import Any

from production.record.models.ink import Deed


def taken_back_with(paper: Any) -> Deed | None:
    """The deed that took a purchase or a sale back at once, if one did."""
    return Deed.objects.filter(undoes=paper.deed_id).select_related("by").first()


def entered_again(paper: Any, **among: Any) -> Any:
    """The standing paper that bears the number of one that was taken back.

    ``among`` narrows where a number is one only there: a purchase's to its supplier.
    """
    rows = type(paper).objects.standing().filter(number=paper.number, **among)
    return rows.exclude(pk=paper.pk).first()
