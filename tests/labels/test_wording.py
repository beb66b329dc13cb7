"""Claims as they hide in precautions, broken words, other letters and languages."""

import pytest

from labels.domain.wording import claims_in
from labels.reads.kind_tables import claim_words
from tests.labels.test_kind import read


def warned(text):
    place = "in the precautions"
    said = claims_in({place: text}, claim_words(), {place})
    return {one.claim for one in said if not one.denied}


@pytest.mark.parametrize(
    "text",
    [
        "Do not use on broken skin, acne or eczema.",
        "Avoid acne and insect stings.",
        "Bei Akne nicht verwenden.",
        "Ne pas utiliser sur l'eczéma.",
        "Consult a doctor if you suffer from psoriasis.",
        "Keep away from children and from your pets.",
        "For external use only. Avoid contact with eyes; rinse well with water.",
    ],
)
def test_a_warning_claims_nothing(text):
    assert warned(text) == set()


@pytest.mark.parametrize(
    ("text", "claim"),
    [
        ("Antibacterial, kills 99% of germs", "germs"),
        ("Avoid contact with eyes. Kills germs.", "germs"),
        ("Fights acne, do not swallow", "acne"),
        ("Keep near: treats eczema", "disease"),
        ("Clears acne. If in doubt ask a doctor.", "acne"),
        ("For acne-prone skin. Avoid the eyes.", "acne"),
    ],
)
def test_a_claim_among_the_precautions_is_one(text, claim):
    assert claim in warned(text)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("anti-\nbacterial", "drug"),
        ("germ-\r\nkilling", "drug"),
        ("mois-\nturising", "cosmetic"),
        ("\u0430nti\u0432acterial soap, antib\u0430cterial", "drug"),
        ("K\u0399LLS GERMS, ger\u043c fighting, moi\u0455turising", "drug"),
        ("mo\u0456sturising", "cosmetic"),
    ],
)
def test_broken_words_and_letters_that_pass_for_others_are_read(text, kind):
    assert read(text).kind == kind


def test_a_denied_claim_of_a_thing_is_denied():
    found = read("No claims of acne treatment are made")
    assert found.kind == "soap"
    assert found.denied


# Our translations from memory; the kinds are those of the rules of the Union.
TONGUES = [
    ("Antibakteriell tvål, dödar bakterier", "biocide"),
    ("Återfuktande tvål mot akne", "medicine"),
    ("Tvål för golv", "detergent"),
    ("Diskmedel", "detergent"),
    ("Antibakteriel sæbe", "biocide"),
    ("Til gulve og opvask", "detergent"),
    ("Antibakteerinen saippua", "biocide"),
    ("Desinfioi kädet", "biocide"),
    ("Lattioille ja astioille", "detergent"),
    ("Koirille", "product for animals"),
    ("Antibakteriální mýdlo", "biocide"),
    ("Dezinfekce rukou", "biocide"),
    ("Na podlahy a nádobí", "detergent"),
    ("Sabão antibacteriano", "biocide"),
    ("Desinfetante, elimina os germes", "biocide"),
    ("Para o chão", "detergent"),
    ("Contra a acne", "medicine"),
    ("Αντιβακτηριδιακό σαπούνι", "biocide"),
    ("Σκοτώνει τα μικρόβια", "biocide"),
    ("Κατά της ακμής", "medicine"),
    ("Για πιάτα και δάπεδα", "detergent"),
    ("Reinigt Böden und Fenster", "detergent"),
    ("Do podłóg i okien", "detergent"),
]


@pytest.mark.parametrize(("text", "kind"), TONGUES)
def test_claims_are_read_in_every_language_of_the_card(text, kind):
    assert read(text, "eu").kind == kind


@pytest.mark.parametrize(
    "text", ["Kosteuttava", "Hydratační", "Ενυδατική", "Fugtgivende", "Hidratante"]
)
def test_moisturising_is_read_in_every_language(text):
    assert read(text).kind == "cosmetic"


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Fungicidal", "drug"),
        ("Sterile hands", "drug"),
        ("Keeps ticks away", "pesticide"),
        ("Repels midges", "pesticide"),
        ("Aromatherapy soap", "drug"),
        ("Detox", "drug"),
        ("Lightens spots", "drug"),
        ("Skin whitening soap", "drug"),
        ("Softening", "cosmetic"),
        ("An emollient soap", "cosmetic"),
        ("Conditioning soap", "cosmetic"),
        ("It smells like figs on you", "cosmetic"),
        ("Cleans windows", "household product"),
        ("For your car", "household product"),
        ("Cleans dishes and floors", "household product"),
    ],
)
def test_more_words_that_tip_it_under_us_rules(text, kind):
    assert read(text).kind == kind


@pytest.mark.parametrize(
    "text",
    [
        "Flytande tvål för händer och kropp",
        "Flydende sæbe til hænder og krop",
        "Nestesaippua käsille ja vartalolle. Valmistettu Suomessa",
        "Tekuté mýdlo na ruce a tělo",
        "Sabonete líquido para as mãos e o corpo. Óleo de gérmen de trigo",
        "Υγρό σαπούνι χεριών και σώματος. Ελαιόλαδο",
        "Soap for hands, with olive oil and wheat germ oil",
        "Keep away from sunny windows. Air conditioning dries the skin.",
        "Finnish recipe",
    ],
)
@pytest.mark.parametrize("rules", ["us", "eu", "uk", "ca"])
def test_plain_words_of_other_languages_raise_no_alarm(text, rules):
    assert read(text, rules).because == ()


def test_dishes_and_floors_are_both_named():
    says = read("Cleans floors and dishes").says
    assert "“dishes”" in says
    assert "“floors”" in says or "“Cleans floors”" in says
