"""Each kind of event stands once: its fields say how it is read, written and listed."""

import json
import re
from importlib import import_module

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.exchange import domain as history
from production.exchange.actions.replaying import REPLAYED
from production.quantities.domain.refusal import Refused
from production.record.actions.digest import told
from production.record.domain.keys import EVENTS, Part, keys_of, read_part
from tests.production.history_cases import EVERY_TYPE
from tests.production.history_cases.any_event import any_part

LINE = 2  # where the first event of a file stands
every_kind = pytest.mark.parametrize("kind", EVENTS.values(), ids=list(EVENTS))


def through_a_file(facts):
    """Write one event into a file, and read it again."""
    [group] = history.read(history.write("USD", [facts]))[1]
    return read_part(EVENTS[group.where], group, "type")


def groups_in(facts, said="", part=None):
    """Every group in braces of an event, what the faults call it, and its part."""
    yield facts, said, part
    for key in keys_of(part):
        inner = facts.get(key.name)
        for nth, group in enumerate(inner or () if key.several else [inner], 1):
            if key.parts and isinstance(group, dict):
                of = next(one for one in key.parts if one.fits(group))
                where = f"{said}, {key.name}" + (f" {nth}" if key.several else "")
                yield from groups_in(group, where, of)


def needed_in(part):
    """The keys that a part never goes without."""
    for key in keys_of(part):
        if key.among:
            yield from needed_in(key.holds)
        elif key.needed:
            yield key.name


def refused(facts):
    with pytest.raises(Refused) as caught:
        through_a_file(facts)
    return str(caught.value)


@every_kind
@settings(max_examples=20)
@given(st.data())
def test_what_is_written_reads_as_it_was(kind, data):
    event = data.draw(any_part(kind))
    assert through_a_file(event.facts()) == event


@every_kind
@settings(max_examples=20)
@given(st.data())
def test_an_unknown_key_is_refused_where_it_stands(kind, data):
    facts = json.loads(json.dumps(data.draw(any_part(kind)).facts()))
    group, where, _ = data.draw(
        st.sampled_from(list(groups_in(facts, kind.type_name, kind)))
    )
    group["colour"] = "red"
    assert refused(facts) == f"Line {LINE}, {where}: 'colour' is not known here."


@every_kind
@settings(max_examples=20)
@given(st.data())
def test_a_missing_key_is_refused_where_it_should_stand(kind, data):
    facts = json.loads(json.dumps(data.draw(any_part(kind)).facts()))
    needed = [
        (group, where, name)
        for group, where, part in groups_in(facts, kind.type_name, kind)
        for name in needed_in(part)
        # Without the key that tells a line from others it would be one of those.
        if name not in ("item", "lots")
    ]
    if needed:
        group, where, name = data.draw(st.sampled_from(needed))
        del group[name]
        assert refused(facts) == f"Line {LINE}, {where}: {name!r} is missing."


@pytest.mark.parametrize("facts", EVERY_TYPE)
def test_a_kept_event_is_written_with_its_keys_in_their_order(facts):
    assert list(through_a_file(facts).facts().items()) == list(facts.items())


def test_every_kind_does_something_and_nothing_else_is_done():
    assert set(REPLAYED) == set(EVENTS.values())


def test_where_an_event_was_read_is_no_part_of_what_it_says():
    step = {"type": "step", "date": "2026-01-09", "batch": "W-1", "text": "Clear."}
    [first, second] = history.read(history.write("USD", [step, step]))[1]
    read = [read_part(history.Step, group, "type") for group in (first, second)]
    assert read[0] == read[1]
    assert read[0].read_at != read[1].read_at
    assert isinstance(read[0], Part)
    assert told("", {"step": read[0]}) == told("", {"step": read[1]})


@every_kind
@settings(max_examples=20)
@given(st.data())
def test_the_same_content_has_the_same_digest_through_a_file_and_back(kind, data):
    event, other = data.draw(any_part(kind)), data.draw(any_part(kind))
    digest = told("", {"event": event})
    assert told("", {"event": through_a_file(event.facts())}) == digest
    assert (told("", {"event": other}) == digest) == (other == event)


@pytest.mark.parametrize("command", ["import_history", "export_history"])
def test_the_help_of_the_file_lists_every_key_of_every_event(command):
    module = import_module(f"production.management.commands.{command}")
    listed = re.split(r"\n  (?=\w)", module.Command.example)
    for name, kind in EVENTS.items():
        [told] = [one for one in listed if re.match(rf"{name}\s", one)]
        missing = set(keys_within(kind)) - set(re.findall(r"\w+", told))
        assert not missing, name


def keys_within(part):
    """Every key of a part and of the parts in it."""
    for key in keys_of(part):
        if not key.among:
            yield key.name
        for inner in key.parts:
            yield from keys_within(inner)
