"""Restricted substances that a soap maker meets, and classes by what alkali is left."""

from datetime import date
from decimal import Decimal

import pytest

from labels.domain.hazards import class_by_alkali, corrosive_by_ph
from labels.domain.restricted import restrictions
from labels.reads.kind_tables import restricted

NOW = date(2026, 11, 29)
# Standard atomic weights, IUPAC 2021, abridged.
WEIGHTS = {
    "H": Decimal("1.008"),
    "C": Decimal("12.011"),
    "O": Decimal("15.999"),
    "P": Decimal("30.974"),
    "Na": Decimal("22.990"),
    "K": Decimal("39.098"),
}


def mass(**atoms):
    return sum(WEIGHTS[name] * count for name, count in atoms.items())


ETIDRONIC = mass(C=2, H=8, O=7, P=2)
FACTORS = {
    "Disodium Etidronate": ETIDRONIC / mass(C=2, H=6, O=7, P=2, Na=2),
    "Trisodium Etidronate": ETIDRONIC / mass(C=2, H=5, O=7, P=2, Na=3),
    "Tetrasodium Etidronate": ETIDRONIC / mass(C=2, H=4, O=7, P=2, Na=4),
    "Dipotassium Etidronate": ETIDRONIC / mass(C=2, H=6, O=7, P=2, K=2),
    "Tetrapotassium Etidronate": ETIDRONIC / mass(C=2, H=4, O=7, P=2, K=4),
    "Sodium Benzoate": mass(C=7, H=6, O=2) / mass(C=7, H=5, O=2, Na=1),
    "Potassium Sorbate": mass(C=6, H=8, O=2) / mass(C=6, H=7, O=2, K=1),
    "Sodium Dehydroacetate": mass(C=8, H=8, O=4) / mass(C=8, H=7, O=4, Na=1),
}


def found(rules="eu", on=NOW, ph=None, use="", words="", **shares):
    named = {name.replace("_", " "): Decimal(share) for name, share in shares.items()}
    return restrictions(named, restricted(rules), on, ph=ph, use=use, label_words=words)


def states(*args, **kwargs):
    return [one.state for one in found(*args, **kwargs).findings]


@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_salts_are_counted_as_their_acid(rules):
    table = {one.name: one.factor for one in restricted(rules)}
    for name, factor in FACTORS.items():
        assert table[name] == pytest.approx(factor, abs=Decimal("0.00002")), name


# Regulation (EC) 1223/2009 Annex III 53(b).
@pytest.mark.parametrize(
    ("acid", "fits"),
    [
        pytest.param("0.15", True, id="EU-CHEL-77-within"),
        pytest.param("0.25", False, id="EU-CHEL-77-over"),
    ],
)
def test_etidronates_in_soap(acid, fits):
    salt = Decimal(acid) / FACTORS["Tetrasodium Etidronate"]
    [one] = found(Tetrasodium_Etidronate=salt).findings
    assert one.fails != fits
    assert one.share == pytest.approx(Decimal(acid), abs=Decimal("0.0001"))
    assert one.limit.source == "Regulation (EC) 1223/2009 Annex III 53(b)"


def test_two_etidronates_are_summed():
    both = {"Etidronic_Acid": "0.15", "tetrasodium_etidronate": "0.1"}
    assert states(**both) == ["over the limit"]
    assert states(Etidronic_Acid="0.2") == ["within"]


# Regulation (EC) 1223/2009 Annex III 15a(d).
@pytest.mark.parametrize(
    ("ph", "fits"),
    [
        pytest.param("9.5", True, id="EU-PH-76-9.5"),
        pytest.param("10.9", True, id="EU-PH-76-10.9"),
        pytest.param("11.2", False, id="EU-PH-76-11.2"),
        ("11", True),
    ],
)
@pytest.mark.parametrize("rules", ["eu", "uk"])
def test_the_ceiling_of_the_ph(rules, ph, fits):
    [one] = found(rules, ph=Decimal(ph), Potassium_Hydroxide="0").findings
    assert one.fails != fits
    assert one.share == Decimal(ph)


def test_a_ph_that_nobody_measured_is_not_known():
    [one] = found(Potassium_Hydroxide="0.1").findings
    assert (one.state, one.share) == ("not known", None)
    assert "Measure the pH" in one.says
    [bound] = found(Potassium_Hydroxide="0").findings
    assert (bound.state, bound.share) == ("ask", None), "what reacted sets no pH"
    assert states(Aqua="80") == []


def test_methyl_salicylate_by_use():
    # Regulation (EC) 1223/2009 Annex III 324.
    assert states(Methyl_Salicylate="0.1") == ["over the limit"]
    assert states(use="hand wash", Methyl_Salicylate="0.1") == ["within"]
    assert states(use="hand wash", Methyl_Salicylate="0.7") == ["over the limit"]
    # SI 2025/413: other limits in Great Britain, whose figures we have not.
    assert states("uk", Methyl_Salicylate="0.1") == ["ask"]


def test_borates_are_forbidden_and_peanut_oil_is_asked_about():
    # From memory: Annex II; (EU) 2019/831.
    assert states(Sodium_Borate="0.01") == ["forbidden"]
    [one] = found(Arachis_Hypogaea_Oil="3").findings
    assert (one.state, one.fails) == ("ask", False)
    assert "0.5 ppm" in one.says


@pytest.mark.parametrize(
    ("rules", "on", "state"),
    [
        ("eu", date(2024, 7, 31), "not yet in force"),
        ("eu", date(2024, 8, 1), "words missing"),
        ("uk", date(2026, 7, 14), "not yet in force"),
        ("uk", date(2026, 7, 15), "words missing"),
    ],
)
def test_formaldehyde_releasers_by_their_dates(rules, on, state):
    # (EU) 2022/1181; the GB instrument of 12 January 2026: both from summaries.
    assert state in states(rules, on, DMDM_Hydantoin="0.3")
    said = states(rules, NOW, words="Releases  formaldehyde.", DMDM_Hydantoin="0.3")
    assert "words stand" in said


def test_what_fails_stands_first_and_the_rest_is_not_checked():
    held = found(Etidronic_Acid="0.1", Aqua="70", Sodium_Borate="1", Parfum="1")
    assert [one.state for one in held.findings] == ["forbidden", "within"]
    assert held.not_checked == ("Aqua", "Parfum")
    assert [one.names for one in held.failing] == [("Sodium Borate",)]


@pytest.mark.parametrize("rules", ["us", "ca"])
def test_a_set_without_a_table_checks_nothing_and_says_so(rules):
    held = found(rules, Sodium_Borate="1")
    assert (held.findings, held.not_checked) == ((), ("Sodium Borate",))


def test_an_open_question_is_no_rule():
    [one] = found("uk", Hexyl_Salicylate="0.5").findings
    assert (one.state, one.fails) == ("ask", False)
    assert "draft" in one.says


# CLP Annex VI, index 019-002-00-8; the eye class is from memory.
@pytest.mark.parametrize(
    ("percent", "name", "statements"),
    [
        pytest.param("33.0", "Skin Corr. 1A", ("H314", "H290", "H302"), id="GHS-74-33"),
        pytest.param("3.0", "Skin Corr. 1B", ("H314",), id="GHS-74-3"),
        pytest.param(
            "1.0", "Skin Irrit. 2, Eye Irrit. 2", ("H315", "H319"), id="GHS-74-1"
        ),
        pytest.param("0.3", "", (), id="GHS-74-0.3"),
        ("5", "Skin Corr. 1A", ("H314", "H290")),
        ("2", "Skin Corr. 1B", ("H314",)),
        ("0.5", "Skin Irrit. 2, Eye Irrit. 2", ("H315", "H319")),
    ],
)
def test_classes_by_the_alkali_that_is_left(percent, name, statements):
    made = class_by_alkali(Decimal(percent))
    assert (made.name, made.statements) == (name, statements)


# SOR/2015-17 s. 8.2.5, 8.3.5, applied to a mixture through 8.2.9(1).
@pytest.mark.parametrize(
    ("ph", "corrosive"),
    [
        pytest.param("9.8", False, id="GHS-75-9.8"),
        pytest.param("10.9", False, id="GHS-75-10.9"),
        pytest.param("11.5", True, id="GHS-75-11.5"),
        pytest.param("12.5", True, id="GHS-75-12.5"),
        ("2", True),
    ],
)
def test_the_ph_screen(ph, corrosive):
    assert corrosive_by_ph(Decimal(ph)) == corrosive
