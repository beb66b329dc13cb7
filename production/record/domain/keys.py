"""What an event says, key by key: its fields decide how it is read and written.

A field's type is how its value stands in the file: ``str`` a text, ``Decimal`` a
number in quotes, ``int`` a whole number, ``bool`` true or false, ``date`` a day,
``datetime`` a moment, ``... | None`` also null, another part a group in braces, a tuple
of parts a list, a mapping figures by name. The order of the fields is the order of the
keys, and what says no more than its default is left out.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import MISSING, Field, dataclass, field, fields
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, ClassVar, TypeVar, get_args, get_origin, get_type_hints

from production.quantities.domain.numbers import plain
from production.quantities.domain.refusal import Refused
from production.record.domain.text import Group


class Unsaid(Enum):
    """The default of a key whose absence differs from every value of it."""

    UNSAID = "unsaid"


UNSAID = Unsaid.UNSAID
P = TypeVar("P", bound="Part")


def told(
    default: Any = MISSING,
    *,
    factory: Any = MISSING,
    key: str = "",
    shown: bool = False,
    last: bool = False,
    among: bool = False,
    says: str = "",
) -> Any:
    """A field that stands in the file in a way of its own.

    ``key`` where Python would not take the file's word; ``shown`` is written also
    where it is the default; ``last`` stands after the others; the keys of a part
    ``among`` are those of its owner; ``says`` goes into the list of all keys.
    """
    own = {"key": key, "shown": shown, "last": last, "among": among, "says": says}
    if factory is not MISSING:
        return field(default_factory=factory, metadata=own)
    return field(default=default, metadata=own)


@dataclass(frozen=True)
class Part:
    """A group of keys; read from a file it knows where it stands."""

    read_at: str = field(default="", kw_only=True, compare=False, repr=False)

    @classmethod
    def fits(cls, facts: Mapping[str, Any]) -> bool:
        """Whether a group is this part, where it may be one of several."""
        return True

    def fault(self, text: str) -> Refused:
        return Refused(f"{self.read_at}: {text}")


EVENTS: dict[str, type["Event"]] = {}


@dataclass(frozen=True, kw_only=True)
class Event(Part):
    """One line of the file. A class that gives its ``type`` is one kind of event."""

    type_name: ClassVar[str]

    def __init_subclass__(cls, *, type: str = "") -> None:
        if type:
            cls.type_name = type
            EVENTS[type] = cls

    def facts(self) -> dict[str, Any]:
        """The event as it stands in the file."""
        return {"type": self.type_name, **facts_of(self)}


@dataclass(frozen=True)
class Key:
    """One field of a part, and how it stands in the file."""

    field: str
    name: str
    holds: Any
    several: bool
    null: bool
    default: Any
    shown: bool
    last: bool
    among: bool
    says: str

    @property
    def needed(self) -> bool:
        return self.default is MISSING and not self.among

    @property
    def parts(self) -> list[type[Part]]:
        """The parts that may stand here, where it is parts."""
        kinds = _options(self.holds)
        return [one for one in kinds if isinstance(one, type) and issubclass(one, Part)]

    def read(self, group: Group) -> Any:
        if self.null and group.facts[self.name] is None:
            return None
        if self.several:
            parts = group.parts(self.name)
            return tuple(_read_one_of(self.parts, part) for part in parts)
        if self.parts:
            return _read_one_of(self.parts, group.part(self.name))
        return READERS[get_origin(self.holds) or self.holds](group, self.name)


READERS: dict[Any, Callable[[Group, str], Any]] = {
    str: Group.text,
    Decimal: Group.number,
    int: Group.whole,
    bool: Group.yes,
    date: Group.day,
    datetime: Group.moment,
    Mapping: Group.shares,
}


def _options(hint: Any) -> tuple[Any, ...]:
    return get_args(hint) if isinstance(hint, UnionType) else (hint,)


def keys_of(part: type[Part]) -> tuple[Key, ...]:
    """Every key of a part, in the order in which they are written."""
    kind: Any = part
    return _keys_of(kind)


@cache
def _keys_of(part: Any) -> tuple[Key, ...]:
    hints = get_type_hints(part)
    keys = [_key(one, hints[one.name]) for one in fields(part) if one.compare]
    return tuple(sorted(keys, key=lambda key: key.last))


def _key(one: Field[Any], hint: Any) -> Key:
    options = _options(hint)
    [holds] = [kind for kind in options if kind not in (NoneType, Unsaid)] or [None]
    several = get_origin(holds) is tuple
    made = one.default_factory
    own = {name: one.metadata.get(name, False) for name in ("shown", "last", "among")}
    return Key(
        field=one.name,
        name=one.metadata.get("key") or one.name,
        holds=get_args(holds)[0] if several else holds,
        several=several,
        null=NoneType in options,
        default=one.default if made is MISSING else made(),
        says=one.metadata.get("says", ""),
        **own,
    )


def _read_one_of(kinds: Sequence[type[P]], group: Group) -> P:
    return read_part(next(kind for kind in kinds if kind.fits(group.facts)), group)


def read_part(part: type[P], group: Group, *beside: str) -> P:
    """Read a group key by key; one that is not known is refused, as a missing one."""
    read = _read(part, group)
    known = {*beside, *names_of(part)}
    for name in group.facts:
        if name not in known:
            raise group.fault(f"{name!r} is not known here.")
    return read


def _read(part: type[P], group: Group) -> P:
    values: dict[str, Any] = {}
    for key in keys_of(part):
        if key.among:
            values[key.field] = _read(key.holds, group)
        elif key.name in group.facts:
            values[key.field] = key.read(group)
        elif key.needed:
            raise group.fault(f"{key.name!r} is missing.")
    return part(**values, read_at=group.at)


def names_of(part: type[Part]) -> Iterator[str]:
    for key in keys_of(part):
        yield from names_of(key.holds) if key.among else (key.name,)


def facts_of(part: Part) -> dict[str, Any]:
    """A part as it stands in the file, without what says no more than its default."""
    facts: dict[str, Any] = {}
    for key in keys_of(type(part)):
        value = getattr(part, key.field)
        if key.among:
            facts |= facts_of(value)
        elif key.shown or value != key.default:
            facts[key.name] = _written(value)
    return facts


def _written(value: Any) -> Any:
    if isinstance(value, Decimal):
        return plain(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Part):
        return facts_of(value)
    if isinstance(value, tuple):
        return [_written(one) for one in value]
    if isinstance(value, Mapping):
        return {name: _written(one) for name, one in value.items()}
    return value


def said(part: Part) -> dict[str, Any]:
    """The fields of a part that say something, by their names."""
    values = {key.field: getattr(part, key.field) for key in keys_of(type(part))}
    return {name: value for name, value in values.items() if value is not UNSAID}
