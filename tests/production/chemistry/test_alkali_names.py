"""A tub that burns is known by its name, in any language, and by its numbers.

Names of the hydroxides in the languages of the EU: Wikidata labels Q132298 and
Q102769 (CC0). Words of the trade beside English and German ones: from memory.
"""

import pytest

from production.chemistry.domain.alkali_names import StrongAlkali, strong_alkali

POTASSIUM = """
    Potassium Hydroxide|potassium hydroxide flakes, 90 %|caustic potash
    CAUSTIC POTASH 25 kg|potash lye|KOH|KOH flakes|Kaliumhydroxid|Kaliumhydroxide
    kaliumhydroksidi|Kalilauge|Ätzkali|aetzkali|hydroxyde de potassium
    potasse caustique|lessive de potasse|hidróxido de potasio|potasa cáustica
    lejía de potasa|idrossido di potassio|potassa caustica|hidróxido de potássio
    potassa cáustica|wodorotlenek potasu|ług potasowy|hydroxid draselný
    draselný louh|kálium-hidroxid|kálilúg|hidroxid de potasiu|калиев хидроксид
    υδροξείδιο του καλίου|kaaliumhüdroksiid|kālija hidroksīds|kalio hidroksidas
    kalio šarmas|kalijev hidroksid|Idrossidu tal-potassju|hiodrocsaíd photaisiam
    kalilut|kalilút|E525|E 525|INS 525|Flakes, CAS 1310-58-3|UN 1813
    UN1814 liquid|EC 215-181-3|potassium hydrate|kaliumlut|bijtende potas
"""
SODIUM = """
    Sodium Hydroxide|sodium hydroxide pearls|caustic soda|soda lye|NaOH
    Natriumhydroxid|natriumhydroxide|natriumhydroksidi|Natronlauge|Ätznatron
    hydroxyde de sodium|soude caustique|lessive de soude|hidróxido de sodio
    sosa cáustica|idrossido di sodio|soda caustica|hidróxido de sódio|soda cáustica
    wodorotlenek sodu|soda kaustyczna|soda żrąca|hydroxid sodný|nátrium-hidroxid
    nátronlúg|hidroxid de sodiu|sodă caustică|натриев хидроксид|сода каустик
    υδροξείδιο του νατρίου|καυστική σόδα|naatriumhüdroksiid|nātrija hidroksīds
    natrio hidroksidas|natrijev hidroksid|Idrossidu tas-sodju|hiodrocsaíd sóidiam
    kaustisk soda|kaustiksoda|natronlut|natronlud|ætsnatron|natronloog|bijtende soda
    natronlipeä|kaustická soda|kaustična soda|vítissódi|E524|E-524|CAS: 1310-73-2
    UN1823|215-185-5|sodium hydrate
"""
UNSAID = """
    lye|Lye 33 %|lye solution|louh|ług|lipeä|lut|loog|Lauge
    potassium and sodium hydroxide
"""
NONE = """
    potassium carbonate|potassium sorbate|potassium citrate|potassium iodide
    soda ash|washing soda|baking soda|sodium carbonate|sodium bicarbonate
    sodium chloride|sodium lactate|cristaux de soude|bicarbonate de soude|Natron
    Kaliumcarbonat|lye-free soap base|lye free|KOH titrant test kit
    NaOH indicator strips|lye gloves|lye soap|calcium hydroxide|magnesium hydroxide
    caustic lime|aluminium hydroxide|sodium hydroxymethylglycinate
    hydroxypropyl methylcellulose|hydroxyethylcellulose|rapeseed oil
    kali blend fragrance|glycerin|Salt Marsh fragrance|polyester|lyeberry|Kalk
    seife ohne Lauge|savon sans soude|soda water|E500|E 202|coconut oil 76|butter
    flutter lutein|sodium gluconate|hydrated silica|luxury oil
"""


def listed(text):
    lines = [line.strip() for line in text.strip().splitlines()]
    return [name for line in lines for name in line.split("|")]


@pytest.mark.parametrize("name", listed(POTASSIUM))
def test_potash_is_known_in_many_languages(name):
    assert strong_alkali(name) == StrongAlkali("KOH")
    assert strong_alkali(name.upper()) == StrongAlkali("KOH")


@pytest.mark.parametrize("name", listed(SODIUM))
def test_soda_is_known_in_many_languages(name):
    assert strong_alkali(name) == StrongAlkali("NaOH")


@pytest.mark.parametrize("name", listed(UNSAID))
def test_a_lye_that_does_not_say_which_is_a_lye_all_the_same(name):
    assert strong_alkali(name) == StrongAlkali("")


@pytest.mark.parametrize("name", listed(NONE))
def test_what_only_sounds_like_it_is_none(name):
    assert strong_alkali(name) is None


@pytest.mark.parametrize(
    ("name", "which"),
    [
        ("Potash", "KOH"),
        ("potasse", "KOH"),
        ("Pottasche", "KOH"),
        ("soude", "NaOH"),
        ("caustic flakes", ""),
        ("potash, solid", "KOH"),
    ],
)
def test_a_word_that_may_be_milder_is_taken_as_alkali_to_be_confirmed(name, which):
    assert strong_alkali(name) == StrongAlkali(which, sure=False)


def test_a_number_is_read_whatever_dash_it_is_written_with():
    assert strong_alkali("1310\N{EN DASH}58\N{NON-BREAKING HYPHEN}3").which == "KOH"


def test_any_of_the_texts_counts():
    assert strong_alkali("Flakes 25", "Potassium Hydroxide").which == "KOH"
    assert strong_alkali("Flakes 25", "", "CAS 1310-73-2").which == "NaOH"
    assert strong_alkali("lye", "KOH") == StrongAlkali("KOH")
    assert strong_alkali("", "") is None


def test_lithium_hydroxide_is_a_strong_alkali_too():
    assert strong_alkali("lithium hydroxide monohydrate").which == "LiOH"


def test_soap_made_here_may_be_called_after_its_alkali():
    assert strong_alkali("dual lye shaving paste", made=True) is None
    assert strong_alkali("KOH olive paste", made=True) is None
    assert strong_alkali("potash lye 33 %", made=True) == StrongAlkali("KOH")
    assert strong_alkali("caustic soda for soap") == StrongAlkali("NaOH")
