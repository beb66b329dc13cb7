"""A deed is called once, where it stands: every list of verbs comes from there."""

import ast
from collections import Counter
from pathlib import Path

import pytest

from production.record.actions.deeds import DEEDS, MOVES_GOODS, NEVER_BLOCKED, deed

ROOT = Path(__file__).parents[3]
HOUSES = ("production", "costing", "labels", "config")


def texts_of(module):
    for node in ast.walk(ast.parse(module.read_text("utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def test_no_verb_is_written_twice():
    """One of a single word, "sell", may also be the name of a function or a box."""
    written = Counter(
        text
        for house in HOUSES
        for module in (ROOT / house).rglob("*.py")
        if "migrations" not in module.parts
        for text in texts_of(module)
    )
    verbs = {verb for verb in DEEDS if " " in verb}
    assert {verb: written[verb] for verb in verbs} == dict.fromkeys(verbs, 1)


def test_two_deeds_are_never_called_alike():
    with pytest.raises(ValueError, match="Two deeds are called 'sell'"):
        deed("sell")(lambda deed: None)


def test_what_moves_goods_is_never_dated_into_a_closed_month():
    assert MOVES_GOODS
    assert NEVER_BLOCKED
    assert not MOVES_GOODS & NEVER_BLOCKED
    assert set(DEEDS) > MOVES_GOODS | NEVER_BLOCKED
