"""The history file: a workshop's whole past in one neutral, canonical JSON text.

Version 1. Events stand in the book's order; quantities and money are decimal
strings. Unknown keys and types are refused by name and line.
"""

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from production.quantities.domain.number_text import read_figure
from production.quantities.domain.refusal import Refused
from production.record.domain.odd_dates import refuse_far

FORMAT, VERSION = "kettlebook-history", 1
# How the key of every deed begins that was taken in from a file.
PAST = "history:"
HEAD = ("format", "version", "currency", "events")
# At most 15 figures before the point and 12 behind it.
FIGURE = re.compile(r"-?[0-9]{1,15}(\.[0-9]{1,12})?")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
# A zero byte and half a surrogate pair: JSON can say them, a database cannot.
UNWRITABLE = re.compile("[\\0\\ud800-\\udfff]")
BLANK = re.compile(r"[ \t\n\r]*")


@dataclass(frozen=True)
class Group:
    """A group in braces as it stands in a file: one event, or a part of one."""

    facts: Mapping[str, Any]
    line: int
    where: str

    @property
    def at(self) -> str:
        """Where it stands, as every fault says it."""
        return f"Line {self.line}, {self.where}"

    def fault(self, text: str) -> Refused:
        return Refused(f"{self.at}: {text}")

    def text(self, key: str) -> str:
        value = self.facts[key]
        if not isinstance(value, str):
            raise self.fault(f"{key!r} is a text in quotes, not {value!r}.")
        if UNWRITABLE.search(value):
            raise self.fault(f"{key!r} holds a character that no book can keep.")
        return value

    def number(self, key: str) -> Decimal:
        value = self.facts[key]
        figure = read_figure(value) if isinstance(value, str) else None
        if figure is None or not FIGURE.fullmatch(str(value)):
            raise self.fault(f"{key!r} is a number in quotes, not {value!r}.")
        return figure

    def whole(self, key: str) -> int:
        value = self.facts[key]
        if not isinstance(value, int) or isinstance(value, bool):
            raise self.fault(f"{key!r} is a whole number, not {value!r}.")
        return value

    def day(self, key: str) -> date:
        value = self.text(key)
        try:
            if not DAY.fullmatch(value):
                raise ValueError
            day = date.fromisoformat(value)
            refuse_far(day)
        except Refused as fault:
            raise self.fault(str(fault)) from None
        except ValueError:
            raise self.fault(
                f"{key!r} is a day like 2026-01-31, not {value!r}."
            ) from None
        return day

    def moment(self, key: str) -> datetime:
        try:
            moment = datetime.fromisoformat(self.text(key))
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None:
            raise self.fault(f"{key!r} is a moment like 2026-03-02T14:10:00+00:00.")
        return moment

    def yes(self, key: str) -> bool:
        value = self.facts[key]
        if not isinstance(value, bool):
            raise self.fault(f"{key!r} is true or false, not {value!r}.")
        return value

    def shares(self, key: str) -> dict[str, Decimal]:
        """Figures by their names."""
        named = self.facts[key]
        if not isinstance(named, dict):
            raise self.fault(f"{key!r} is a group in braces.")
        shares = Group(named, self.line, f"{self.where}, {key}")
        return {name: shares.number(name) for name in named}

    def part(self, key: str) -> "Group":
        return self._part(key, self.facts[key])

    def parts(self, key: str) -> list["Group"]:
        value = self.facts[key]
        if not isinstance(value, list):
            raise self.fault(f"{key!r} is a list.")
        return [self._part(f"{key} {nth}", part) for nth, part in enumerate(value, 1)]

    def _part(self, where: str, value: Any) -> "Group":
        part = Group(value, self.line, f"{self.where}, {where}")
        if not isinstance(value, dict):
            raise part.fault("this is a group in braces.")
        return part


def read(text: str) -> tuple[str, list[Group]]:
    """Read a file: its currency, and its events with the lines they stand on."""
    head: dict[str, Any] = {}
    events: list[Group] = []
    try:
        json.loads(text, object_pairs_hook=_no_key_twice)
        for key, value in _top(text, events):
            head[key] = value
    except json.JSONDecodeError as fault:
        raise Refused(f"Line {fault.lineno}: this is no JSON ({fault.msg}).") from None
    except ValueError:
        raise Refused(
            "A number stands in the file without quotes and has too many figures. "
            'Write figures as "12.5".'
        ) from None
    except RecursionError:
        raise Refused("Line 1: brackets stand in brackets without end.") from None
    for key in head:
        if key not in HEAD:
            raise Refused(f"Line 1: {key!r} is not known at the top of a history file.")
    if head.get("format") != FORMAT:
        raise Refused(f'Line 1: a history file says "format": "{FORMAT}".')
    version = head.get("version")
    if version != VERSION or isinstance(version, bool):
        raise Refused(f"Line 1: version {version} is not known, only 1.")
    if "events" not in head:
        raise Refused('Line 1: "events" is missing.')
    currency = head.get("currency")
    if not isinstance(currency, str) or not re.fullmatch("[A-Z]{3}", currency):
        raise Refused('Line 1: "currency" is three capital letters, like "USD".')
    return currency, events


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        twice = next(key for key, _ in pairs if [k for k, _ in pairs].count(key) > 1)
        raise Refused(f"{twice!r} is written twice in one group.")
    return found


def _top(text: str, events: list[Group]) -> Iterator[tuple[str, Any]]:
    """Walk the top level of a JSON text that is known to be valid."""
    decoder = json.JSONDecoder()

    def skip(at: int) -> int:
        match = BLANK.match(text, at)
        return match.end() if match else at

    at = skip(0)
    if text[at] != "{":
        raise Refused("Line 1: a history file is one group in braces.")
    at = skip(at + 1)
    while text[at] != "}":
        key, at = decoder.raw_decode(text, at)
        at = skip(skip(at) + 1)
        if key == "events":
            if text[at] != "[":
                raise Refused('Line 1: "events" is a list.')
            at = _events(text, at, skip, decoder, events)
            value: Any = None
        else:
            value, at = decoder.raw_decode(text, at)
        yield key, value
        at = skip(at)
        if text[at] == ",":
            at = skip(at + 1)


def _events(
    text: str,
    at: int,
    skip: Callable[[int], int],
    decoder: json.JSONDecoder,
    events: list[Group],
) -> int:
    line, counted = 1, 0
    at = skip(at + 1)
    while text[at] != "]":
        line += text.count("\n", counted, at)
        counted = at
        facts, at = decoder.raw_decode(text, at)
        if not isinstance(facts, dict):
            raise Refused(f"Line {line}: an event is a group in braces.")
        events.append(Group(facts, line, _type_of(facts, line)))
        at = skip(at)
        if text[at] == ",":
            at = skip(at + 1)
    return at + 1


def _type_of(facts: dict[str, Any], line: int) -> str:
    group = Group(facts, line, "event")
    if "type" not in facts:
        raise group.fault("'type' is missing.")
    return group.text("type")


def write(currency: str, events: list[dict[str, Any]]) -> str:
    """The canonical text: one event a line, keys in the order they were given."""
    lines = [
        json.dumps(event, ensure_ascii=False, separators=(", ", ": "))
        for event in events
    ]
    head = json.dumps({"format": FORMAT, "version": VERSION, "currency": currency})
    body = ",\n ".join(lines)
    return (
        f'{head[:-1]}, "events": [\n {body}]}}\n'
        if lines
        else f'{head[:-1]}, "events": []}}\n'
    )
