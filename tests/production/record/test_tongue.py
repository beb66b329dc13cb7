"""No verdict and no instruction goes by tongue, in the languages of the label rules.

The sentences are invented. That lye is never tested by mouth: it is corrosive (H314),
as every safety data sheet of potassium hydroxide says.
"""

import pytest

from production.record.domain.taste_tests import (
    goes_by_tongue,
    happened_by_tongue,
    instructs_by_tongue,
)

BY_TONGUE = [
    "touched to the tongue",
    "Tongue-tested, fine",
    "zap test ok",
    "no ZAP",
    "No zap.",
    "it did not zap",
    "it zapped",
    "tasted it",
    "taste test",
    "fragrance tastes?",
    "licked a bit",
    "tested by mouth",
    "no pink after a tongue test",
    "no sting on the tongue",
    "no pink, tongue test fine",
    "not only by tongue",
    "never skip the tongue test",
    "not without tasting it",
    "a tongue test is not forbidden",
    "Pink: no; tongue: neutral",
    "no: tongue ok",
    "no tongue test yesterday, tasted it today",
    "testé sur la langue, rien",
    "test de langue passé",
    "goûté, pas de picotement",
    "goûter une pointe de savon",
    "léché: neutre",
    "probado con la lengua",
    "tocar con la punta de la lengua",
    "lamido un poco",
    "mit der Zunge geprüft",
    "Zungentest bestanden",
    "Zunge: nichts",
    "kurz abgeschmeckt",
    "provato con la lingua",
    "sulla lingua non pizzica",
    "assaggiato, neutro",
    "met de tong getest",
    "tongtest goed",
    "voorgeproefd, neutraal",
    "provado com a língua",
    "lambido, nada",
    "sprawdzono językiem",
    "próba na języku, nic",
    "posmakować odrobinę",
    "smakade på den",
    "prövad med tungan",
]
NOT_BY_TONGUE = [
    "",
    "no tongue test done",
    "not tested by tongue",
    "Never test by tongue or on the skin",
    "never taste",
    "do not ever taste the paste",
    "tongue test not done",
    "tongue test: not done",
    "Tongue test wasn't done",
    "No one tasted anything",
    "Tongue tests are forbidden",
    "Forbidden: tongue test",
    "Zungentest verboten",
    "goûter est interdit",
    "Vietato assaggiare",
    "no zap test done, drop test at five spots",
    "nobody tasted it",
    "without a tongue test",
    "pas de test sur la langue",
    "ne jamais goûter",
    "ne pas tester avec la langue",
    "sans goûter",
    "nunca probar con la lengua",
    "no probado con la lengua",
    "nicht mit der Zunge testen",
    "kein Zungentest",
    "ohne Zungentest",
    "mai provare con la lingua",
    "non assaggiare mai",
    "nooit met de tong testen",
    "niet met de tong getest",
    "nunca provar com a língua",
    "nigdy nie sprawdzać językiem",
    "inte smaka, aldrig med tungan",
    "tasteful label",
    "tasteful scent",
    "phenolphthalein, no pink",
    "slicked down",
    "zapata",
    "flick",
    "oxtongue",
    "ox tongue root",
    "hart's tongue extract",
    "tongue-and-groove box",
    "20 g of Lemon Zap",
    "Zap Citrus, two drops",
    "étiquette en langue française",
    "étiquette dans la langue du pays",
    "trois gouttes de phénolphtaléine",
    "etiqueta en lengua española",
    "etichetta in lingua italiana",
    "rótulo em língua portuguesa",
    "na língua portuguesa",
    "etykieta w języku polskim",
    "Seezunge",
    "Form Zunge, 200 g",
    "die Flasche leckt, Kosten 5 Euro",
    "de proef van vandaag",
    "with tongs",
]


@pytest.mark.parametrize("text", BY_TONGUE)
def test_a_test_by_mouth_is_recognised(text):
    assert goes_by_tongue(text)


@pytest.mark.parametrize("text", NOT_BY_TONGUE)
def test_a_denial_and_a_false_friend_are_not(text):
    assert not goes_by_tongue(text)


def test_an_accident_is_told_in_its_own_words():
    for text in (
        "some splashed on my tongue",
        "tasted it by mistake",
        "deviation: Tobias tested by tongue",
        "Spritzer auf der Zunge",
        "éclaboussure sur la langue",
    ):
        assert goes_by_tongue(text)
        assert not happened_by_tongue(text)
    assert happened_by_tongue("tongue test passed")
    assert happened_by_tongue("tasted, then rinsed")


def test_an_instruction_may_say_what_to_do_after_a_splash():
    assert not instructs_by_tongue("If it splashes on the tongue, rinse with water.")
    assert instructs_by_tongue("Taste it by mistake, so to say.")
    assert instructs_by_tongue("Mind the splash.\nTaste it.")
