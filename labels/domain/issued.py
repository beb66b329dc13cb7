"""What a label was issued from, as text that can be told apart later.

An issued label keeps its facts, its words and its drawing as canonical JSON: the same
facts give the same text and the same digest, whatever the order of their names.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date
from decimal import Decimal
from difflib import SequenceMatcher
from enum import Enum
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

Words = Mapping[str, Sequence[str]]

INGREDIENTS, CONTENTS, MARK = "ingredients", "net_contents", "mark"
# What belongs to a label and is not printed on it.
UNPRINTED = frozenset({"rules", "basis", "missing", "notes", "found", "languages"})
ORDINALS = {1: "st", 2: "nd", 3: "rd"}


@dataclass(frozen=True, slots=True)
class Made:
    """A label that was drawn and is not issued yet.

    ``inputs`` is canonical, ``words`` the digest of what is printed, ``edition`` that
    of the rules; ``missing`` is what makes it a draft, "" and empty where nothing does.
    """

    rules: str
    language: str
    edition: str
    inputs: str
    words: str
    missing: tuple[str, ...] = ()
    raw: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True)
class Change:
    """One part of a label that reads otherwise: how it was, how it is, in words."""

    part: str
    was: str
    now: str
    says: tuple[str, ...] = ()


def plain_of(value: Any) -> Any:
    """Values, tuples, maps and frozen rows as what JSON can hold; figures exact."""
    if isinstance(value, Enum):
        return plain_of(value.value)
    if value is None or isinstance(value, str | bool | int):
        return value
    if isinstance(value, Decimal):
        return f"{value.normalize():f}" if value else "0"
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: plain_of(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, Mapping):
        return {str(name): plain_of(one) for name, one in value.items()}
    if isinstance(value, set | frozenset):
        return sorted(plain_of(one) for one in value)
    if isinstance(value, Sequence):
        return [plain_of(one) for one in value]
    raise TypeError(f"{type(value).__name__} cannot be kept with a label.")


def canonical(value: Any) -> str:
    """The same text for the same facts."""
    return json.dumps(
        plain_of(value), sort_keys=True, ensure_ascii=False, separators=(",", ":")
    )


def digest(text: str) -> str:
    """SHA-256 of a text, as 64 hexadecimal digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def words_of(content: Any, ingredients: Sequence[str]) -> dict[str, tuple[str, ...]]:
    """What is printed, part by part, empty parts left out; the names one by one."""
    found: dict[str, tuple[str, ...]] = {}
    for one in fields(content):
        if one.name in UNPRINTED:
            continue
        value, name = getattr(content, one.name), one.name
        if name == "contents":
            # As it is printed: the figures behind it are nobody's words.
            value, name = str(value or ""), CONTENTS
        told = tuple(_texts(value))
        if told:
            found[name] = told
    if ingredients:
        found[INGREDIENTS] = tuple(ingredients)
    return found


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        if value.strip():
            yield value
    elif value is None or isinstance(value, bool | int | Decimal):
        return
    elif is_dataclass(value) and not isinstance(value, type):
        for one in fields(value):
            yield from _texts(getattr(value, one.name))
    elif isinstance(value, Mapping):
        for name in sorted(value):
            yield from _texts(value[name])
    elif isinstance(value, set | frozenset):
        yield from sorted(text for one in value for text in _texts(one))
    else:
        for one in value:
            yield from _texts(one)


def differences(was: Words, now: Words) -> tuple[Change, ...]:
    """Every part that reads otherwise, in the order of the older label."""
    found = []
    for part in dict.fromkeys([*was, *now]):
        before, after = tuple(was.get(part, ())), tuple(now.get(part, ()))
        if before == after:
            continue
        joint, told = "; ", _said
        if part == INGREDIENTS:
            joint, told = ", ", name_changes
        elif part == CONTENTS and before and after:
            told = _as_a_whole
        elif part == MARK and before and after:
            told = _another
        found.append(
            Change(
                part.replace("_", " ").capitalize(),
                joint.join(before),
                joint.join(after),
                tuple(told(before, after)),
            )
        )
    return tuple(found)


def name_changes(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    """Which names came, which went, and which stand at another place."""
    for name in after:
        if name not in before:
            yield f"{name} came, as the {_place(after.index(name))}."
    for name in before:
        if name not in after:
            yield f"{name} went."
    kept = [name for name in before if name in after]
    stand = [name for name in after if name in before]
    matched = SequenceMatcher(None, kept, stand, autojunk=False).get_matching_blocks()
    still = {kept[m.a + n] for m in matched for n in range(m.size)}
    for name in stand:
        if name not in still:
            was, now = _place(before.index(name)), _place(after.index(name))
            yield f"{name} moved among the names: it was the {was}, it is the {now}."


def _place(index: int) -> str:
    number = index + 1
    teen = number % 100 in (11, 12, 13)
    return f"{number}{'th' if teen else ORDINALS.get(number % 10, 'th')}"


def _said(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    """Which words of a part changed."""
    old, new = " ".join(before).split(), " ".join(after).split()
    if not old or not new:
        yield "It came." if new else "It went."
        return
    for kind, a, b, c, d in SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        gone, come = " ".join(old[a:b]), " ".join(new[c:d])
        if kind == "replace":
            yield f"“{gone}” became “{come}”."
        elif kind == "delete":
            yield f"“{gone}” went."
        elif kind == "insert":
            yield f"“{come}” came."


def _as_a_whole(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    yield f"“{' '.join(before)}” became “{' '.join(after)}”."


def _another(before: Sequence[str], after: Sequence[str]) -> Iterator[str]:
    yield "It is another picture."


def left_of(printed: int, used: int, spoiled: int) -> int:
    """Labels that nobody has used or spoiled yet; below zero is a miscount."""
    return printed - used - spoiled


def from_plain(kind: Any, value: Any) -> Any:
    """The value that ``plain_of`` told, as one of ``kind``; raises for another shape.

    A field that was added since takes its default, one that went is passed over.
    """
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        if value is None:
            return None
        [kind] = [one for one in get_args(kind) if one is not type(None)]
        return from_plain(kind, value)
    if origin is tuple:
        first, *more = get_args(kind)
        kinds = [first] * len(value) if more == [...] else [first, *more]
        return tuple(map(from_plain, kinds, value))
    if is_dataclass(kind) and isinstance(kind, type):
        hints = get_type_hints(kind)
        told = {one.name for one in fields(kind)} & set(value)
        return kind(**{name: from_plain(hints[name], value[name]) for name in told})
    if kind is Decimal:
        return Decimal(value)
    if kind is date:
        return date.fromisoformat(value)
    return value
