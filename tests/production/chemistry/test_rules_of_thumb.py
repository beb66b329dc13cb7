"""Rules of thumb speak once.

A maker who reads her recipe finds one verdict a topic. The typical figures decide
which; where the range of published values reaches into another rule, the same verdict
says so. What she measured on this very recipe comes first. A pure fatty acid is known
by its name, and sodium counts whether it came in with the lye, a brine or a lactate.
"""

import csv
from decimal import Decimal as D
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.constants import ATOMIC_WEIGHTS, atoms, molar_mass
from production.chemistry.domain.mixtures import Within, exactly, of_salt, together
from production.chemistry.domain.profile import Figure, itself
from production.chemistry.domain.rules_of_thumb import (
    FIGURES,
    SPOKEN_AT,
    TOPICS,
    Rule,
    verdicts,
)
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import decimals
from tests.production.chemistry.test_profile import of

TABLES = Path(__file__).parents[3] / "fixtures" / "reference"
STANDINGS = {"verified", "secondary", "recalled", "computed", "common practice"}
CLEAR = "clear when diluted"


def rows_of(table):
    with (TABLES / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def shipped_rules():
    rows = sorted(rows_of("hints"), key=lambda row: int(row["rank"]))
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
        for row in rows
    ]


def rule(low=None, high=None, **facts):
    low, high = (None if end is None else D(end) for end in (low, high))
    words = {"topic": CLEAR, "figure": "oleic", **facts}
    key = words.pop("key", "a rule")
    return Rule(key, **words, low=low, high=high, says="…", basis="…")


def figure(low, typical, high):
    typical = None if typical is None else D(typical)
    return Figure("oleic acid", D(low), typical, D(high))


def keys(found):
    """Of each topic the rule that speaks, and those that its doubts name."""
    return {
        one.topic: (
            one.rule and one.rule.key,
            [doubt.rule and doubt.rule.key for doubt in one.doubts],
        )
        for one in found
    }


HAZY, CLEARS = rule("0.5", key="hazy"), rule("0.2", "0.5", key="clears")


@pytest.mark.parametrize(
    ("band", "speaks", "doubts"),
    [
        (("0.5", "0.6", "0.9"), "hazy", []),
        (("0.3", "0.4", "0.499"), "clears", []),
        (("0.3", "0.4", "0.5"), "clears", ["hazy"]),
        (("0.3", "0.6", "0.9"), "hazy", ["clears"]),
        (("0.1", "0.6", "0.9"), "hazy", ["clears"]),
        (("0.1", "0.4", "0.45"), "clears", [None]),
        (("0.2", None, "0.4"), "clears", []),
        (("0.2", None, "0.9"), None, ["hazy"]),
        (("0.1", "0.15", "0.3"), None, ["clears"]),
    ],
)
def test_the_typical_figure_decides_and_its_range_is_a_doubt(band, speaks, doubts):
    """None among the doubts is a range that leaves the rule and reaches no other."""
    found = verdicts([HAZY, CLEARS], {"oleic": figure(*band)})
    assert keys(found) == {CLEAR: (speaks, doubts)}


def test_where_neither_the_figure_nor_its_range_reaches_a_rule_nothing_is_said():
    assert verdicts([HAZY, CLEARS], {"oleic": figure("0", "0.1", "0.19")}) == ()


LIMIT = st.none() | decimals(0, 1)


@given(
    st.lists(st.tuples(LIMIT, LIMIT, st.sampled_from(TOPICS)), max_size=8),
    st.tuples(decimals(0, 1), decimals(0, 1), decimals(0, 1)),
    decimals(0, 1),
)
def test_one_verdict_a_topic_which_is_true_wherever_the_truth_lies_or_doubts(
    limits, ends, part
):
    made = []
    for at, (low, high, topic) in enumerate(limits):
        low, high = sorted((low, high)) if None not in (low, high) else (low, high)
        made.append(rule(low, high, key=str(at), topic=topic))
    low, typical, high = sorted(ends)
    found = verdicts(made, {"oleic": figure(low, typical, high)})
    said = {one.topic: one for one in found}
    assert len(said) == len(found)
    true = low + (high - low) * part
    for topic in TOPICS:
        first = next((r for r in made if r.topic == topic and r.within(true)), None)
        if topic not in said:
            assert first is None
        elif not said[topic].doubts:
            assert said[topic].rule is first


def test_the_first_rule_that_holds_has_the_word():
    first, second = rule("0.3", key="first"), rule("0.2", key="second")
    figures = {"oleic": figure("0.6", "0.6", "0.6")}
    assert keys(verdicts([first, second], figures)) == {CLEAR: ("first", [])}
    assert keys(verdicts([second, first], figures)) == {CLEAR: ("second", [])}


def test_another_figure_that_may_overrule_the_verdict_is_a_doubt_of_it():
    haze = rule("0.12", key="haze", figure="palmitic_stearic")
    clear = rule("0.5", key="clear")
    later = rule("0.05", key="later", figure="ricinoleic")
    figures = {
        "oleic": figure("0.6", "0.7", "0.8"),
        "palmitic_stearic": figure("0.06", "0.1", "0.15"),
        "ricinoleic": figure("0", "0.04", "0.06"),
    }
    [verdict] = verdicts([haze, clear, later], figures)
    assert keys([verdict]) == {CLEAR: ("clear", ["haze"])}
    [doubt] = verdict.doubts
    assert doubt.figure is figures["palmitic_stearic"]
    assert (
        doubt.range_of == "the range of published values of palmitic and stearic acid"
    )


def test_of_an_unknown_figure_nothing_is_said_but_what_needs_none():
    assert verdicts([HAZY], {"oleic": None}) == verdicts([HAZY], {}) == ()
    assert keys(verdicts([rule(key="always")], {})) == {CLEAR: ("always", [])}


def test_verdicts_stand_by_topic():
    rules = [rule("0.3", topic=topic) for topic in reversed(TOPICS)]
    found = verdicts(rules, {"oleic": figure("0.5", "0.6", "0.7")})
    assert [one.topic for one in found] == list(TOPICS)


def test_every_topic_is_spoken_of_at_some_stage_and_lime_where_paste_meets_water():
    assert {topic for some in SPOKEN_AT.values() for topic in some} == set(TOPICS)
    speaks = [stage for stage, some in SPOKEN_AT.items() if "needs soft water" in some]
    assert speaks == ["dilution"]


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
    rows = rows_of("hints")
    assert 18 <= len(shipped_rules()) <= 24
    assert len({row["key"] for row in rows}) == len(rows)
    assert len({(row["topic"], row["rank"]) for row in rows}) == len(rows)
    assert {one.topic for one in shipped_rules()} == set(TOPICS)
    for row in rows:
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


def said_of(
    potassium="1", superfat="0.02", soap="0.2", glycerin="0", stage=None, **oils
):
    figures = {
        **of(**oils).figures(),
        "potassium_share": exactly("potassium share", D(potassium)),
        "superfat": exactly("superfat", D(superfat)),
        "soap_content": exactly("soap content", D(soap)),
        "glycerin": exactly("glycerin", D(glycerin)),
    }
    assert set(figures) == set(FIGURES)
    topics = SPOKEN_AT[stage] if stage else TOPICS
    rules = [one for one in shipped_rules() if one.topic in topics]
    return keys(verdicts(rules, figures))


def test_a_coconut_soap_is_clear_and_thin():
    """McBain and Sierichs 1948: laurate and myristate are soluble when cold."""
    said = said_of(coconut_oil=100)
    assert said["responds to brine"] == ("brine-lauric-myristic", [])
    assert "prone to rancidity" not in said


def test_a_tallow_soap_is_hazy_when_cold_and_nothing_else_is_said_of_clarity():
    """McBain and Sierichs 1948: the other saturated soaps want warmth to dissolve."""
    said = said_of(tallow=100)
    assert said[CLEAR] == ("haze-palmitic-stearic", [])
    assert said["needs soft water"] == ("hard-water-long-chains", [])


def test_an_olive_soap_is_one_verdict_that_names_its_doubt():
    """Olive oil holds 7.5 to 20 % palmitic and 0.5 to 5 % stearic acid (Codex CXS
    33-1981): light haze at the typical figure, and the range reaches further."""
    speaks, doubts = said_of(olive_oil=100)[CLEAR]
    assert speaks == "some-haze-palmitic-stearic"
    assert doubts == ["haze-palmitic-stearic"]


def test_a_linseed_soap_is_prone_to_rancidity_once():
    assert said_of(linseed_oil=100)["prone to rancidity"] == (
        "rancid-linoleic-linolenic",
        [],
    )


def test_sodium_and_fat_left_over_come_before_the_acids():
    assert said_of(oleic_acid=100)[CLEAR] == ("clear-oleic", [])
    assert said_of(oleic_acid=100, potassium="0.8")[CLEAR] == ("haze-sodium", [])
    assert said_of(oleic_acid=100, superfat="0.05")[CLEAR] == ("haze-superfat", [])


@pytest.mark.parametrize(
    ("superfat", "kept"), [("0.02", True), ("0.03", False), ("-0.01", False)]
)
def test_the_superfat_that_a_clear_liquid_carries(superfat, kept):
    """About 3 %: common practice, no source."""
    said = said_of(oleic_acid=100, superfat=superfat)
    assert ("superfat kept clear" in said) == kept


def test_lime_is_spoken_of_where_paste_meets_water_and_not_in_the_kettle():
    kettle, diluted = (said_of(oleic_acid=100, stage=s) for s in ("cook", "dilution"))
    assert "needs soft water" not in kettle
    assert diluted["needs soft water"] == ("hard-water", [])
    assert diluted["sequestrant"] == ("sequestrant-dose", [])
    assert diluted["cloud point"] == ("cloud-point", [])


@pytest.mark.parametrize(
    ("soap", "speaks"), [("0.6", "paste-keeps"), ("0.2", "diluted-needs-keeping")]
)
def test_what_a_diluted_soap_keeps_by(soap, speaks):
    assert said_of(oleic_acid=100, soap=soap)["preservation and pH"] == (speaks, [])


@pytest.mark.parametrize(
    ("glycerin", "speaks"),
    [("0", None), ("0.03", "glycerin-thins"), ("0.08", "glycerin-thins-much")],
)
def test_glycerin_thins(glycerin, speaks):
    """Common practice, no source."""
    said = said_of(oleic_acid=100, glycerin=glycerin)
    assert said.get("thinned by glycerin", (None, []))[0] == speaks


def test_an_unknown_oil_leaves_its_part_in_doubt():
    speaks, doubts = said_of(olive_oil=50, argan_oil=50)[CLEAR]
    assert speaks is None
    assert "clear-oleic" in doubts
    assert CLEAR not in said_of(argan_oil=100)


def test_the_hard_water_figure_is_stoichiometry():
    """Two soap ions to one calcium ion; CIAAW atomic weights."""
    oleate = D("39.0983") + 18 * D("12.011") + 33 * D("1.008") + 2 * D("15.999")
    carbonate = D("40.078") + D("12.011") + 3 * D("15.999")
    says = {one.key: one.says for one in shipped_rules()}
    assert round(D("0.1") / carbonate * 2 * oleate, 2) == D("0.64")
    assert "0.64 g" in says["hard-water"]
    edta = molar_mass("C10H12N2Na4O8")
    assert round(D("0.1") / carbonate * edta, 2) == D("0.38")
    assert "0.38 g" in says["sequestrant-dose"]


# A pure fatty acid is its own composition


@pytest.mark.parametrize(
    ("origin", "acid"),
    [
        ("octadecenoic acid C18:1", "C18:1"),
        ("octadecanoic acid C18:0", "C18:0"),
        ("stearic and palmitic acid", None),
        ("a mixture of C16:0 and C18:0", None),
    ],
)
def test_a_pure_fatty_acid_defines_itself(origin, acid):
    found = itself("acid", origin)
    assert [(row.acid, *row.ends(), row.typical) for row in found] == (
        [(acid, 1, 1, 1)] if acid else []
    )
    assert itself("fat", origin) == ()


def test_a_fatty_acid_of_the_published_table_is_known():
    acids = [row for row in rows_of("oils") if row["kind"] == "acid"]
    unknown = {row["key"] for row in acids if of(**{row["key"]: 100}).unknown}
    assert unknown == {"rosin"}  # no fatty acid: resin acids


# Sodium counts


def test_sodium_chloride_holds_39_percent_of_sodium():
    """22.990 of 58.440 g/mol, CIAAW."""
    held = of_salt("NaCl")
    assert round(held.sodium * ATOMIC_WEIGHTS["Na"], 4) == D("0.3934")
    assert held.potassium == 0
    assert round(of_salt("NaCl", D("0.2")).sodium / held.sodium, 12) == D("0.2")


def test_each_published_salt_brings_a_cation_and_names_a_published_material():
    named = {row["key"]: row for row in rows_of("inci_names")}
    for row in rows_of("salts"):
        assert {"Na", "K"} & set(atoms(row["formula"])), row
        assert named[row["material"]]["cas"] in row["source"], row
        assert row["standing"] in STANDINGS


def test_the_potassium_share_is_of_all_cations():
    """One mole of each and half a mole of sodium from salt: 1 of 2.5."""
    lye = Within(potassium=D(1), sodium=D(1), soap=D(500))
    salt = of_salt("NaCl")
    whole = together([(D(1), lye), (D("0.5") / salt.sodium, salt)])
    assert round(whole.figures()["potassium_share"].typical, 12) == D("0.4")
    assert Within().figures()["potassium_share"] is None
