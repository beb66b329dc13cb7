"""What a deed changes downstream, said on the next page by whoever knows.

The roof names the one that answers when the house starts; without it nothing is said.
"""

from collections.abc import Callable
from typing import Any

from production.record.models.ink import Deed

Act = Callable[..., Any]
# What a row is, the row, and the deed: its result, and what it changed in plain words.
Watch = Callable[[str, Any, Callable[[], Any]], tuple[Any, dict[str, Any] | None]]
_watches: list[Watch] = []


def watched_by(watch: Watch) -> None:
    """Name the one function that knows what a deed changes."""
    _watches[:] = [watch]


def watched(request: Any, of: str, row: Any, act: Act, back: Any) -> Act:
    """The deed, which leaves what it changed for the page of ``back``.

    A form that is sent again is only answered, and what was said stays.
    """

    def done(**facts: Any) -> Any:
        key = facts.get("key")
        if not _watches or (key and Deed.objects.filter(key=key).exists()):
            return act(**facts)
        result, changes = _watches[0](of, row, lambda: act(**facts))
        if changes is not None:
            request.session[_name(back)] = changes
        return result

    return done


def changed(request: Any, row: Any) -> dict[str, Any] | None:
    """What the last such deed of this session changed, of a row's page."""
    return request.session.get(_name(row))


def _name(row: Any) -> str:
    return f"changed:{row._meta.model_name}:{row.pk}"
