"""The fatty acids of a blend: bands that hold, and what is unknown stays so."""

import csv
from decimal import Decimal as D
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.chemistry.domain.profile import (
    GROUP_WORDS,
    GROUPS,
    AcidShare,
    OilProfile,
    fatty_acid,
    iodine_as_acids,
    iodine_as_triglyceride,
    itself,
    profile,
)
from production.quantities.domain.refusal import Refused
from tests.production.chemistry.chemistry_cases import decimals, fat_of

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference"
TINY = D("1e-12")


def rows(name):
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def number(text, unit=1):
    return D(text) / unit if text else None


def published():
    """Every oil of the reference tables, at a share of 1."""
    acids = {}
    for row in rows("oil_compositions.csv"):
        ends = (
            number(row[f"percent_{end}"], 100) for end in ("low", "typical", "high")
        )
        acids.setdefault(row["oil"], []).append(AcidShare(row["acid"], *ends))
    return {
        row["key"]: OilProfile(
            row["key"],
            D(1),
            tuple(acids.get(row["key"], ())) or itself(row["kind"], row["origin"]),
            number(row["iodine_low"]),
            number(row["iodine_high"]),
            row["kind"],
        )
        for row in rows("oils.csv")
    }


OILS = published()


def of(**shares):
    """A blend of published oils by key, shares in percent."""
    return profile(
        [
            OilProfile(
                key,
                D(share) / 100,
                oil.acids,
                oil.iodine_low,
                oil.iodine_high,
                oil.kind,
            )
            for key, share in shares.items()
            for oil in [OILS[key.replace("_", "-")]]
        ]
    )


BLENDS = st.dictionaries(
    st.sampled_from(sorted(key.replace("-", "_") for key in OILS)),
    decimals("0.1", 100, places=1),
    min_size=1,
    max_size=5,
)


@given(BLENDS)
def test_every_band_lies_within_the_whole_and_around_the_typical_figure(shares):
    found = of(**shares)
    for figure in (*found.acids.values(), *found.groups.values()):
        assert 0 <= figure.low <= figure.typical <= figure.high <= 1
        assert figure.band == (figure.low, figure.high)


@given(BLENDS)
def test_what_is_unknown_may_be_anything_and_is_never_nothing(shares):
    found = of(**shares)
    unknown = {k for k in shares if not OILS[k.replace("_", "-")].acids}
    assert set(found.unknown) == unknown
    whole = sum(shares.values())
    part = sum(shares[key] for key in unknown) / whole
    assert abs(found.known - (1 - part)) < TINY
    for figure in found.groups.values():
        assert figure.high >= min(part, 1) - TINY
    if not found.known:
        groups = found.figures()
        assert all(groups[key] is None for key in GROUPS)
        assert found.iodine_computed is None


@given(BLENDS, decimals("0.01", 100))
def test_only_the_measure_of_the_shares_counts(shares, factor):
    one, other = of(**shares), of(**{key: s * factor for key, s in shares.items()})
    assert one.groups.keys() == other.groups.keys()
    for key, figure in one.groups.items():
        assert abs(figure.low - other.groups[key].low) < TINY
        assert abs(figure.high - other.groups[key].high) < TINY


@given(BLENDS)
def test_typical_acids_of_known_oils_add_up_to_what_is_known(shares):
    found = of(**shares)
    assert abs(sum(f.typical for f in found.acids.values()) - found.known) < TINY


def test_olive_and_coconut_by_hand():
    """Codex CXS 33-1981 and CXS 210-1999 Table 1; typical profiles as in the table:
    oleic 74 and 6.5 %, lauric 48 and myristic 18.5 % of coconut."""
    found = of(olive_oil=70, coconut_oil=30)
    assert found.known == 1
    assert found.unknown == ()
    oleic = found.groups["oleic"]
    assert oleic.typical == D("0.7") * D("0.74") + D("0.3") * D("0.065")
    assert oleic.low == D("0.7") * D("0.55") + D("0.3") * D("0.05")
    lauric = found.groups["lauric_myristic"]
    assert lauric.typical == D("0.3") * D("0.665")
    assert lauric.low == D("0.3") * D("0.619")
    assert found.iodine == (
        D("0.7") * 75 + D("0.3") * D("6.3"),
        D("0.7") * 94 + D("0.3") * D("10.6"),
    )
    assert found.iodine.low < found.iodine_computed < found.iodine.high
    assert list(found.groups) == list(GROUPS) == list(GROUP_WORDS)
    assert found.groups["oleic"].name == "oleic acid"
    assert found.acids["C12:0"].name == "C12:0"
    assert list(found.figures()) == [*GROUPS, "iodine_value"]


def test_a_high_end_cannot_pass_what_the_other_acids_leave():
    acids = [
        AcidShare("C16:0", D("0.3"), D("0.35"), D("0.4")),
        AcidShare("C18:1", D("0.5"), D("0.65"), D("0.9")),
    ]
    found = profile([OilProfile("made up", D(1), acids)])
    assert found.groups["oleic"].band == (D("0.5"), D("0.7"))
    assert found.groups["palmitic_stearic"].band == (D("0.3"), D("0.4"))


def test_a_group_is_what_its_acids_are_together():
    acids = [
        AcidShare("C12:0", D("0.4"), D("0.5"), D("0.6")),
        AcidShare("C14:0", D("0.2"), D("0.3"), D("0.5")),
        AcidShare("C16:0", D("0.1"), D("0.2"), D("0.3")),
    ]
    found = profile([OilProfile("made up", D(1), acids)])
    assert found.groups["lauric_myristic"].band == (D("0.6"), D("0.9"))
    assert found.groups["lauric_myristic"].typical == D("0.8")


def test_an_end_left_open_is_nothing_or_all_the_rest():
    acids = [
        AcidShare("C18:1", None, D("0.6"), None),
        AcidShare("C18:2", D("0.1"), None, D("0.2")),
    ]
    found = profile([OilProfile("made up", D(1), acids)])
    assert found.groups["oleic"].band == (D(0), D("0.9"))
    assert found.groups["oleic"].typical == D("0.6")
    assert found.groups["linoleic_linolenic"].typical is None
    assert found.iodine_computed is None


def test_an_oil_without_a_composition_leaves_a_floor():
    found = of(olive_oil=75, argan_oil=25)
    assert found.known == D("0.75")
    assert found.unknown == ("argan_oil",)
    oleic = found.groups["oleic"]
    assert oleic.typical == D("0.75") * D("0.74")
    assert oleic.high == D("0.75") * D("0.83") + D("0.25")
    assert found.groups["ricinoleic"].band == (0, D("0.25"))
    assert found.iodine == (D(79), D(98))
    assert found.iodine_computed == of(olive_oil=100).iodine_computed


def test_a_wax_has_no_known_fatty_acids_even_where_some_are_written_down():
    acids = [AcidShare("C20:1", D("0.6"), D("0.7"), D("0.8"))]
    found = profile([OilProfile("jojoba", D(1), acids, D(78), D(90), "wax")])
    assert (found.known, found.unknown) == (0, ("jojoba",))
    assert found.iodine == (78, 90)


def test_a_free_fatty_acid_takes_up_iodine_without_glycerol():
    acids = [AcidShare("C18:1", D(1), D(1), D(1))]
    acid, fat = (
        profile([OilProfile("oleic", D(1), acids, kind=kind)]).iodine_computed
        for kind in ("acid", "fat")
    )
    assert (round(acid, 2), round(fat, 2)) == (D("89.85"), D("85.99"))


def test_an_iodine_value_without_an_upper_end_leaves_the_blend_without_one():
    found = of(palm_olein=50, olive_oil=50)
    assert found.iodine is None
    assert found.figures()["iodine_value"] is None
    at_most = of(palm_stearin=100)
    assert at_most.iodine == (0, 48)


def test_weighting_by_mass_is_off_by_half_a_point_at_most():
    """Coconut and olive oil, half each, by the fatty acids that a gram of each holds:
    three mean acids over the triglyceride, from the atomic weights."""

    def held(key):
        typical = {row.acid: row.typical for row in OILS[key].acids}
        fat = 3000 * D("56.1053") / fat_of(typical)
        return (fat - (D("92.094") - 3 * D("18.015"))) / fat

    coconut, olive = held("coconut-oil"), held("olive-oil")
    assert D("0.935") < coconut < olive < D("0.965")
    assert abs(coconut / (coconut + olive) - D("0.5")) < D("0.005")
    assert abs(1 / (1 + coconut) - D("0.5")) < D("0.017")


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: profile([]), "the oils' shares"),
        (lambda: AcidShare("C18:1", D(75), None, None), r"did you mean 0.75\?"),
        (lambda: AcidShare("C18:1", D("0.8"), None, D("0.7")), "from 0.8 down to 0.7"),
        (lambda: OilProfile("olive", D(-1)), "0 or more"),
        (lambda: OilProfile("olive", D(1), kind="soap"), "a fat, an acid or a wax"),
        (
            lambda: OilProfile(
                "olive", D(1), [AcidShare("C18:1", None, D(1), None)] * 2
            ),
            "stands twice",
        ),
        (lambda: fatty_acid("oleic"), "names no fatty acid"),
        (lambda: iodine_as_triglyceride({}), "shares of the fatty acids"),
        (lambda: iodine_as_triglyceride({"C18:1": D(0)}), "fatty acids"),
        (lambda: iodine_as_acids({"C18-1": D(1)}), "such as C18:1"),
    ],
)
def test_what_cannot_be_is_refused(make, words):
    with pytest.raises(Refused, match=words):
        make()
