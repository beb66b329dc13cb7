"""The list of all events and their keys, for whoever writes a file by hand."""

from collections.abc import Iterator
from textwrap import fill

from production.record.domain.keys import EVENTS, Key, Part, keys_of

WIDTH, INDENT = 88, 15


def all_events() -> str:
    """A paragraph for each event: what it needs, and in brackets what it may say."""
    return "\n".join(
        fill(
            f"  {name:<{INDENT - 3}} {_listed(kind)}",
            WIDTH,
            subsequent_indent=" " * INDENT,
        )
        for name, kind in EVENTS.items()
    )


def _listed(part: type[Part]) -> str:
    keys = list(_own_keys(part))
    needed = ", ".join(_told(key) for key in keys if key.needed)
    free = ", ".join(_told(key) for key in keys if not key.needed)
    return " ".join([*filter(None, [needed, f"[{free}]" if free else ""])])


def _own_keys(part: type[Part]) -> Iterator[Key]:
    for key in keys_of(part):
        yield from _own_keys(key.holds) if key.among else [key]


def _told(key: Key) -> str:
    groups = " or ".join(f"{{{_listed(part)}}}" for part in key.parts)
    name = f"{key.name}: {groups}" if groups else key.name
    return f"{name} ({key.says})" if key.says else name
