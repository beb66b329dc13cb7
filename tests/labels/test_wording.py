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
