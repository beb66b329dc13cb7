"""Rules speak of what is known, say may where it is not sure, and never score."""

import csv
from decimal import Decimal as D
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.domain.chemistry.hints import FIGURES, TOPICS, Rule, hints
from production.domain.chemistry.ranges import Band
from production.domain.refusal import Refused
from tests.production.chemistry_cases import decimals
from tests.production.test_profile import of

SHIPPED = Path(__file__).parents[2] / "fixtures" / "reference" / "hints.csv"
STANDINGS = {"verified", "secondary", "recalled", "computed", "common practice"}


def shipped_rows():
    with SHIPPED.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def shipped_rules():
    return [
        Rule(
            row["key"],
            row["topic"],
            row["figure"],
            D(row["low"]) if row["low"] else None,
            D(row["high"]) if row["high"] else None,
            row["says"],
            row["source"],
        )
        for row in shipped_rows()
    ]


def rule(low=None, high=None, **facts):
    ends = (None if end is None else D(end) for end in (low, high))
    words = {"topic": TOPICS[0], "figure": "oleic", **facts}
    low, high = ends
    return Rule(
        words.pop("key", "a rule"), **words, low=low, high=high, says="…", basis="…"
    )


def spoken(one, low, high):
    found = hints([one], {"oleic": Band(D(low), D(high))})
    return [hint.certain for hint in found]


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        ("0.5", "0.6", [True]),
        ("0.5", "0.8", [False]),
        ("0.4", "0.5", [False]),
        ("0.4", "0.9", [False]),
        ("0.4", "0.499", []),
        ("0.8", "0.9", []),
        ("0.799", "0.799", [True]),
    ],
)
def test_a_rule_speaks_from_its_low_end_to_below_its_high_end(low, high, expected):
    assert spoken(rule("0.5", "0.8"), low, high) == expected


def test_an_open_end_has_no_limit():
    assert spoken(rule("0.5"), "0.9", "1") == [True]
    assert spoken(rule(high="0.5"), "0", "0.2") == [True]
    assert spoken(rule(), "0", "1") == [True]
    assert spoken(rule("0.5", "0.5"), "0", "1") == []


LIMIT = st.none() | decimals(0, 1)


@given(LIMIT, LIMIT, decimals(0, 1), decimals(0, 1), decimals(0, 1))
def test_certain_is_wherever_in_the_band_the_truth_lies(low, high, one, other, part):
    low, high = sorted((low, high)) if None not in (low, high) else (low, high)
    made = rule(low, high)
    band = Band(*sorted((one, other)))
    true = band.low + (band.high - band.low) * part
    said = hints([made], {"oleic": band})
    if made.holds(true):
        assert said
    elif said:
        assert not said[0].certain


def test_of_an_unknown_figure_nothing_is_said():
    assert hints([rule()], {"oleic": None}) == ()
    assert hints([rule()], {}) == ()


def test_hints_stand_by_topic_and_the_certain_ones_first():
    rules = [
        rule("0.3", topic="needs soft water", key="d"),
        rule("0.6", key="b"),
        rule("0.3", key="a"),
        rule("0.3", topic="prone to rancidity", key="c"),
    ]
    found = hints(rules, {"oleic": (D("0.5"), D("0.7"))})
    assert [hint.rule.key for hint in found] == ["a", "b", "c", "d"]


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"topic": "lather"}, "A rule is about one of clear when diluted"),
        ({"figure": "colour"}, "A rule reads one of lauric_myristic"),
        ({"low": "0.5", "high": "0.4"}, "from 0.5 down to 0.4"),
    ],
)
def test_a_rule_that_cannot_be_read_is_refused(facts, words):
    with pytest.raises(Refused, match=words):
        rule(**facts)


# The rules that ship


def test_each_rule_that_ships_can_be_read_and_says_where_it_is_from():
    assert 10 <= len(shipped_rules()) <= 14
    assert len({row["key"] for row in shipped_rows()}) == len(shipped_rows())
    assert {one.topic for one in shipped_rules()} == set(TOPICS)
    for row in shipped_rows():
        assert row["standing"] in STANDINGS, row["key"]
        no_source = row["source"] == "common practice, no source"
        assert no_source == (row["standing"] == "common practice"), row["key"]
        assert row["says"].endswith("."), row["key"]
        assert max(len(row["says"]), len(row["source"])) <= 300, row["key"]


def test_shares_are_fractions_and_iodine_values_are_not():
    for one in shipped_rules():
        for limit in (one.low, one.high):
            if limit is not None:
                assert (limit > 1) == (one.figure == "iodine_value"), one.key


def said_of(potassium="1", superfat="0.02", **shares):
    figures = {
        **of(**shares).figures(),
        "potassium_share": (D(potassium), D(potassium)),
        "superfat": (D(superfat), D(superfat)),
    }
    assert set(figures) == set(FIGURES)
    return {hint.rule.key: hint.certain for hint in hints(shipped_rules(), figures)}


def test_a_coconut_soap_is_clear_and_thin():
    """McBain and Sierichs 1948: laurate and myristate are soluble when cold."""
    said = said_of(coconut_oil=100)
    assert said["clear-lauric-myristic"]
    assert said["brine-lauric-myristic"]
    assert "clear-oleic" not in said
    assert "rancid-iodine-value" not in said


def test_a_tallow_soap_is_hazy_when_cold():
    """McBain and Sierichs 1948: the other saturated soaps want warmth to dissolve."""
    said = said_of(tallow=100)
    assert said["haze-palmitic-stearic"]
    assert said["hard-water-long-chains"]


def test_a_linseed_soap_is_prone_to_rancidity():
    said = said_of(linseed_oil=100)
    assert said["rancid-linoleic-linolenic"]
    assert said["rancid-iodine-value"]


def test_every_soap_wants_soft_water_and_sodium_is_told_apart():
    assert said_of(olive_oil=100)["hard-water"]
    assert "haze-sodium" not in said_of(olive_oil=100)
    assert said_of(olive_oil=100, potassium="0.8")["haze-sodium"]


def test_an_unknown_oil_makes_every_claim_of_its_acids_a_perhaps():
    said = said_of(olive_oil=50, argan_oil=50)
    assert said["clear-oleic"] is False
    assert "clear-oleic" not in said_of(argan_oil=100)


def test_the_hard_water_figure_is_stoichiometry():
    """Two soap ions to one calcium ion; CIAAW atomic weights."""
    oleate = D("39.0983") + 18 * D("12.011") + 33 * D("1.008") + 2 * D("15.999")
    carbonate = D("40.078") + D("12.011") + 3 * D("15.999")
    assert round(D("0.1") / carbonate * 2 * oleate, 2) == D("0.64")
    assert "0.64 g" in {one.key: one.says for one in shipped_rules()}["hard-water"]
