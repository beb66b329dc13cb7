"""A list of parts as a file brings it, and the ingredient list as one goes back."""

from collections.abc import Mapping
from decimal import Decimal
from typing import cast

from labels.domain.parts import IngredientList, Part, Role
from production.quantities.domain.number_text import read_figure
from production.quantities.domain.refusal import Refused

_KEYS = ("parts", "rinse_off")
_PART_KEYS = ("inci", "percent", "role")


def read_parts(data: object) -> tuple[tuple[Part, ...], bool]:
    """Read parsed JSON into parts, and whether the product is rinsed off.

    ``{"parts": [{"inci", "percent", "role"}], "rinse_off": true}``; role is
    ``ingredient`` and rinse_off true where not given. Raises Refused for another
    shape, naming the part and the key.
    """
    if not isinstance(data, Mapping):
        raise Refused('Write one JSON object with the key "parts".')
    _refuse_unknown(data, _KEYS, "The file")
    rows = data.get("parts")
    if not isinstance(rows, list) or not rows:
        raise Refused('Give "parts" as a list with at least one part.')
    rinse_off = data.get("rinse_off", True)
    if not isinstance(rinse_off, bool):
        raise Refused(f'Give "rinse_off" as true or false: it is {rinse_off!r}.')
    return tuple(_part(row, place) for place, row in enumerate(rows, 1)), rinse_off


def written(made: IngredientList) -> dict[str, list[str]]:
    """The list as the plain values of a JSON object."""
    found = {"ingredients": list(made.ingredients), "notes": list(made.notes)}
    return found | ({"lacking": list(made.lacking)} if made.lacking else {})


def _part(row: object, place: int) -> Part:
    where = f"Part {place}"
    if not isinstance(row, Mapping):
        raise Refused(f'{where} must be an object with "inci" and "percent".')
    _refuse_unknown(row, _PART_KEYS, where)
    inci = row.get("inci")
    if not isinstance(inci, str) or not inci.strip():
        raise Refused(f'{where}: give its name as "inci".')
    role = row.get("role", "ingredient")
    return Part(inci, _percent(row, f"{where}, {inci}"), cast(Role, role))


def _percent(row: Mapping[str, object], where: str) -> Decimal:
    value = row.get("percent")
    if value is None:
        raise Refused(f'{where}: give its share as "percent".')
    # Through str, so that a JSON number is the figure that was typed.
    figure = read_figure(str(value) if isinstance(value, float) else value)
    if figure is None:
        raise Refused(
            f'{where}: write "percent" as a number such as 5.1: it is {value!r}.'
        )
    return figure


def _refuse_unknown(
    given: Mapping[str, object], known: tuple[str, ...], where: str
) -> None:
    for key in given:
        if key not in known:
            raise Refused(
                f"{where} has an unknown key {key!r}: use {', '.join(known)}."
            )
