"""Facts that are said anew: each change is a row in ink, and the latest counts."""

from collections.abc import Mapping
from typing import Any

from production.quantities.domain.code_shape import GONE
from production.record.actions.deeds import ensure_valid, written
from production.record.models.ink import Deed, Restated
from production.record.reads.restated import THINGS, from_text


def restate(
    deed: Deed, of: str, row: int, changed: Mapping[str, tuple[Any, Any]]
) -> None:
    """Write what each field was and what it is from now on."""
    longest = Restated._meta.get_field("value").max_length
    for field, (before, value) in changed.items():
        written(
            Restated(
                deed=deed,
                of=of,
                row=row,
                field=field,
                before=in_words(before)[:longest],
                value=in_words(value)[:longest],
            )
        )


def in_words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else str(value)


def follow(of: str, row: int) -> None:
    """Set a header to what was last said of it and stands, or to what it was first.

    Nothing to do for a row in ink: it is read through what was said anew of it.
    """
    thing = THINGS.get(of)
    if thing is None or not thing.header:
        return
    found = thing.model._default_manager.get(pk=row)
    said = Restated.objects.filter(of=of, row=row, field__in=thing.figures)
    figures = {one.field: one.before for one in said.order_by("-id")}
    standing = said.filter(pk__in=Restated.objects.standing().values("pk"))
    figures |= {one.field: one.value for one in standing.order_by("id")}
    if GONE in found.__dict__.get("code", ""):
        # It was taken back, and its code may be in use again.
        figures.pop("code", None)
    for name, text in figures.items():
        column = found._meta.get_field(name)
        setattr(found, column.attname, from_text(type(found), name, text))
    if figures:
        ensure_valid(found)
        found.save(update_fields=list(figures))
