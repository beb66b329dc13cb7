"""Soap, cosmetic or drug: by what is in it, what is said of it, how it is sold."""

from datetime import date
from decimal import Decimal

import pytest

from labels.domain.adverse_events import reaction_duties
from labels.domain.bath import BATH_FOAM, foaming_bath
from labels.domain.kind import (
    Bulk,
    Decided,
    bulk,
    kind_of,
    kinds,
    observed,
    telling,
)
from labels.domain.wording import claims_in
from labels.reads.kind_tables import claim_words, kind_duties, kind_table, telling_names
from production.chemistry.domain.composition import Composition, Substance

SOAP = Bulk(Decimal(78), Decimal(78))
WATER, GLYCEROL = Substance("water"), Substance("glycerol")
OLIVATE = Substance("soap", "OLI-1", "KOH", alkali_bound=Decimal("0.18"))


def read(text="", rules="us", ingredients=(), soap=SOAP, **facts):
    said = claims_in({"in what the shop says": text}, claim_words())
    told = observed(said, telling(ingredients, telling_names()), soap, **facts)
    return kind_of(
        rules,
        told,
        kind_table(rules),
        kind_duties(rules),
        soap=soap,
        denied=[one for one in said if one.denied],
    )


# 21 CFR 701.20; CPSC guidance on soap.
WORKED = [
    pytest.param("cleans", (), "soap", id="US-SOAP-27"),
    pytest.param("cleans, moisturizes skin", (), "cosmetic", id="US-SOAP-28"),
    pytest.param("cleans, kills germs", (), "drug", id="US-SOAP-29"),
    pytest.param("cleans", ("Cocamidopropyl Betaine",), "cosmetic", id="US-SOAP-30"),
]


@pytest.mark.parametrize(("text", "ingredients", "kind"), WORKED)
def test_the_worked_cases_of_soap_under_us_rules(text, ingredients, kind):
    assert read(text, ingredients=("Potassium Olivate", *ingredients)).kind == kind


def test_the_true_soap_names_what_it_still_owes_and_no_ingredient_list():
    says = " ".join(duty.says for duty in read("cleans").duties)
    assert "inch/pound and metric" in says
    assert "No ingredient list" in says
    assert "740" not in says


@pytest.mark.parametrize(
    "text",
    [
        "Soap for hands and body",
        "Cleans, gently.",
        "With olive oil and coconut oil",
        "Scented with lavender",
        "Made with wheat germ oil",
        "Bottle of recycled PET, pump included",
        "Let the bottle stand on a soap dish",
        "Store away from moisture and sun.",
        "Wet, lather, rinse. Not tested on animals.",
        "An antique recipe, cured for six weeks",
        "Treat yourself: sweet treats for the bathroom",
        "Kind to sensitive skin",
        "Heal the sea: 1 % goes to a charity",
        "For sensitive, dry or itchy skin. Hypoallergenic, pH balanced.",
        "Leaves your skin clean after a day with the dogs",
        "Mydło w płynie do rąk",
        "Sapone liquido per le mani",
        "Jabón líquido para manos y cuerpo",
        "Savon liquide. Non testé sur les animaux.",
        "Flüssige Seife für Hände und Körper",
        "",
    ],
)
@pytest.mark.parametrize("rules", ["us", "eu", "uk", "ca"])
def test_plain_words_raise_no_alarm(text, rules):
    found = read(text, rules)
    assert (found.because, found.denied) == ((), ())
    assert found.kind == ("soap" if rules == "us" else "cosmetic")
    assert found.prints


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("KILLS GERMS", "drug"),
        ("Kills 99.9 % of all germs", "drug"),
        ("Germ-killing", "drug"),
        ("Antibacterial", "drug"),
        ("anti-bacterial hand soap", "drug"),
        ("anti\u2011bacterial", "drug"),
        ("anti\u00adbacterial", "drug"),
        ("\uff21ntibacterial", "drug"),
        ("ANTIBACTÉRIEN", "drug"),
        ("Antibakterielle Seife", "drug"),
        ("Don't let germs win", "drug"),
        ("No soap kills germs better", "drug"),
        ("It not only kills germs, it smells nice", "drug"),
        ("No germs. No fuss.", "drug"),
        ("No germ survives", "drug"),
        ("without germs", "drug"),
        ("germ-free, 99.9% germfree", "drug"),
        ("bacteria-free hands", "drug"),
        ("ohne Keime", "drug"),
        ("sans bactéries", "drug"),
        ("bez bakterii", "drug"),
        ("no more acne", "drug"),
        ("acne-free", "drug"),
        ("Kills not only germs", "drug"),
        ("kills\ngerms", "drug"),
        ("soothes insect bites", "drug"),
        ("for hands, pans and dishes", "household product"),
        ("moisture-rich", "cosmetic"),
        ("Disinfects", "drug"),
        ("sanitising", "drug"),
        ("For ACNE-prone skin", "drug"),
        ("Eczemas calm down", "drug"),
        ("contre l\u2019eczéma", "drug"),
        ("bei Ekzemen", "drug"),
        ("heals cracked hands", "drug"),
        ("SPF 15", "drug"),
        ("repels mosquitoes", "pesticide"),
        ("moisturising", "cosmetic"),
        ("Moisturizing", "cosmetic"),
        ("MOISTURISERS inside", "cosmetic"),
        ("hydrates your dry skin", "cosmetic"),
        ("savon hydratant", "cosmetic"),
        ("spendet Ihrer Haut Feuchtigkeit", "cosmetic"),
        ("deodorising", "cosmetic"),
        ("DEODORANT soap", "cosmetic"),
        ("leaves a scent of figs on your skin", "cosmetic"),
        ("for soft skin", "cosmetic"),
        ("Shower gel", "cosmetic"),
        ("Bubble bath", "cosmetic"),
        ("Dish soap", "household product"),
        ("for floors", "household product"),
        ("Dog shampoo", "product for animals"),
    ],
)
def test_hostile_words_tip_it_under_us_rules(text, kind):
    found = read(text)
    assert found.kind == kind
    assert "in what the shop says" in found.because[0].told.words
    assert found.prints == (kind == "cosmetic")


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("antibacterial", ("biocide", "biocide", "drug or natural health product")),
        ("bakteriobójcze", ("biocide", "biocide", "drug or natural health product")),
        ("psoriasis", ("medicine", "medicine", "drug or natural health product")),
        ("mosquitoes", ("biocide", "biocide", "pest control product")),
        ("for pets", ("product for animals",) * 3),
        ("pour la vaisselle", ("detergent", "detergent", "household product")),
        ("moisturising", ("cosmetic",) * 3),
    ],
)
def test_elsewhere_it_is_a_cosmetic_unless_a_claim_makes_it_another(text, kinds):
    found = [read(text, rules) for rules in ("eu", "uk", "ca")]
    assert tuple(one.kind for one in found) == kinds
    assert [one.prints for one in found] == [kind == "cosmetic" for kind in kinds]


@pytest.mark.parametrize(
    "text",
    [
        "does not kill germs",
        "kills no germs",
        "no antibacterial agents",
        "It doesn\u2019t kill germs.",
        "This is not antibacterial",
        "without antibacterial agents",
        "not for use on eczema",
        "non-antibacterial",
        "antibacterial-free",
        "ohne antibakterielle Stoffe",
        "sans antibactérien",
    ],
)
def test_what_is_denied_tips_nothing_and_is_shown(text):
    found = read(text)
    assert found.kind == "soap"
    assert found.denied
    assert "denied and not counted" in " ".join(found.doubts)


def test_a_denial_reaches_no_further_than_its_own_words():
    assert read("Not tested on animals. Kills germs.").kind == "drug"
    assert read("No parabens, antibacterial").kind == "drug"
    assert read("Is it good? Not bad: antibacterial").kind == "drug"


def test_the_claim_that_tips_it_is_named_with_its_clause():
    found = read("Moisturises. Kills germs.")
    assert found.says == (
        "It is a drug: words against germs make it a drug (“Kills germs” in what the "
        "shop says). Such a label is not printed here: ask a person licensed for it."
    )
    assert found.because[0].line.source.startswith("21 CFR 701.20")
    assert found.because[1].told.words == "“Moisturises” in what the shop says"


def test_bulk_is_soap_among_what_does_not_evaporate():
    held = Composition({WATER: Decimal(70), OLIVATE: Decimal(24), GLYCEROL: Decimal(6)})
    assert bulk(held, {}) == Bulk(Decimal(80), Decimal(80))
    assert bulk(Composition({WATER: Decimal(1)}), {}) is None
    spirit = Substance("material", "ALC-1")
    held = Composition({WATER: Decimal(50), OLIVATE: Decimal(30), spirit: Decimal(20)})
    assert bulk(held, {"ALC-1": "Alcohol Denat."}).low == 100
    assert bulk(held, {}).low == 60


def test_what_holds_more_glycerin_than_soap_is_no_soap_in_the_us_alone():
    thin = Bulk(Decimal("33.33"), Decimal("33.33"))
    found = read("cleans", soap=thin)
    assert (found.kind, found.because[0].told.words) == ("cosmetic", "33.3 % of it is")
    assert read("cleans", "eu", soap=thin).because == ()
    # One half is not more than one half: our reading of "bulk".
    assert read(soap=Bulk(Decimal(50), Decimal(50))).kind == "cosmetic"


def test_without_knowing_the_bulk_the_exemption_is_not_taken():
    held = Composition(
        {OLIVATE: Decimal(10), Substance("material", "B-1"): Decimal(40)}
    )
    unsure = bulk(held, {}, bought_soap={"B-1"})
    assert (unsure.low, unsure.high, unsure.holds) == (20, 100, None)
    assert read("cleans", soap=unsure).kind == "cosmetic"
    found = read("cleans", soap=None)
    assert found.because[0].line.tips == "bulk not known"
    assert found.prints


@pytest.mark.parametrize(
    ("name", "tells"),
    [
        ("Sodium Laureth Sulfate", "detergent"),
        ("Coco-Glucoside", "detergent"),
        ("decyl glucoside", "detergent"),
        ("Sodium Cocoyl Isethionate", "detergent"),
        ("Triclosan", "active"),
        ("Betaine", None),
        ("Ascorbyl Glucoside", None),
        ("Magnesium Sulfate", None),
        ("Glycerin", None),
        ("Potassium Cocoate", None),
    ],
)
def test_ingredients_that_tell(name, tells):
    found = telling([name], telling_names())
    assert [one.tips for one in found] == ([tells] if tells else [])


def test_the_purpose_on_the_card_and_how_it_is_sold_count_too():
    assert read("cleans", purpose="dishes").kind == "household product"
    assert read("cleans", sold_as_more=True).kind == "cosmetic"
    assert read("cleans", "eu", sold_as_more=True).because == ()


def _decide(text, kind, over=None):
    first = read(text)
    decided = Decided(kind, date(2026, 3, 2), "asked Ada Birch", over or first.over)
    said = claims_in({"in what the shop says": text}, claim_words())
    told = observed(said, (), SOAP)
    return kind_of(
        "us", told, kind_table("us"), kind_duties("us"), soap=SOAP, decided=decided
    )


def test_the_maker_decides_and_a_decision_against_our_reading_says_so():
    found = _decide("Healing Waters soap", "soap")
    assert (found.kind, found.ours, found.prints, found.against) == (
        "soap",
        "drug",
        True,
        True,
    )
    assert found.says.startswith("The maker decided on 2 March 2026 that it is soap, ")
    assert "against our reading: it is a drug" in found.says
    assert {duty.kind for duty in found.duties} == {"soap"}
    assert not _decide("cleans", "drug").prints
    assert "decided the same" in _decide("cleans", "soap").says


def test_a_decision_ends_where_other_words_are_found():
    found = _decide("Healing Waters soap, kills germs", "soap", over="disease: eczema")
    assert (found.kind, found.decided, found.outdated.kind) == ("drug", None, "soap")


@pytest.mark.parametrize("rules", ["us", "eu", "uk", "ca"])
def test_every_claim_of_the_words_is_known_somewhere_and_every_table_ends(rules):
    table = kind_table(rules)
    assert table[-1].tips == "itself"
    assert len({line.tips for line in table}) == len(table)
    assert kinds(table)[0] in {"soap", "cosmetic"}
    named = {line.kind for line in table} | {BATH_FOAM}
    assert {duty.kind for duty in kind_duties(rules)} <= named
    standings = {line.standing for line in table} | {
        duty.standing for duty in kind_duties(rules)
    }
    assert standings <= {"verified", "secondary", "recalled", "reading"}
    claims = {one.claim for one in claim_words()} - {"nothing"}
    known = {
        line.tips for code in ("us", "eu", "uk", "ca") for line in kind_table(code)
    }
    assert claims <= known


# 21 USC 364a(b)(1),(e)(1); 364h.
@pytest.mark.parametrize(
    ("small", "years"),
    [pytest.param(True, 3, id="US-RECORD-33"), (False, 6)],
)
def test_how_long_records_of_reactions_are_kept(small, years):
    found = reaction_duties(small_business=small)
    assert found.keep_years == years
    assert found.serious_event_report_due_business_days == 15


# 21 CFR 740.17(a),(b).
@pytest.mark.parametrize(
    ("added", "adults", "due"),
    [
        pytest.param(True, False, True, id="US-BATH-82-foam"),
        pytest.param(True, True, False, id="US-BATH-82-adults"),
        pytest.param(False, False, False, id="US-BATH-82-wash"),
    ],
)
def test_the_caution_of_foaming_baths(added, adults, due):
    found = foaming_bath(added_to_bath=added, surfactant=True, adults_only=adults)
    assert (found is not None) == due


def test_the_caution_stands_in_the_words_of_the_rule():
    due = foaming_bath(added_to_bath=True)
    assert due.caution.endswith("Keep out of reach of children.")
    assert due.stands_in("CAUTION - " + due.caution.split("—")[1].upper())
    assert not due.stands_in("Caution: keep out of reach of children.")
    mild = foaming_bath(added_to_bath=True, for_children=True)
    assert mild.caution.endswith("children except under adult supervision.")
    assert mild.clause == "21 CFR 740.17(a),(b)"
    assert foaming_bath(added_to_bath=True, surfactant=False) is None
