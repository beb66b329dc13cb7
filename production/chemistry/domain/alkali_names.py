"""Which names say that a tub burns: strong alkalis and lyes, in many languages.

Names of the hydroxides: those of the languages of the EU, Icelandic and Norwegian, as
Wikidata labels Q132298 (potassium hydroxide) and Q102769 (sodium hydroxide), CC0, read
2026-11; INCI, CAS, EC, E and UN numbers as there, in JECFA's specifications (INS 524
and 525, "caustic soda, lye", "caustic potash") and in the ADR's table A (UN 1813, 1814,
1823, 1824). Words of the trade for lye in other languages than English and German:
from memory. A name is read as it is typed: no accent, capital or hyphen counts.
"""

import re
import unicodedata
from dataclasses import dataclass

POTASSIUM, SODIUM, LITHIUM = "KOH", "NaOH", "LiOH"


@dataclass(frozen=True, slots=True)
class StrongAlkali:
    """What a name says: ``which`` is KOH, NaOH or LiOH, "" where it does not say.

    ``sure`` is False for a word that may mean something milder, as "potash".
    """

    which: str = ""
    sure: bool = True


# Letters that are no letter with an accent.
_LETTERS = str.maketrans(
    {
        "\N{LATIN SMALL LETTER AE}": "ae",
        "\N{LATIN SMALL LETTER O WITH STROKE}": "o",
        "\N{LATIN SMALL LETTER L WITH STROKE}": "l",
        "\N{LATIN SMALL LETTER D WITH STROKE}": "d",
        "\N{GREEK SMALL LETTER FINAL SIGMA}": "\N{GREEK SMALL LETTER SIGMA}",
    }
)
_NUMBERS = (
    (POTASSIUM, r"1310 58 3|215 181 3|(?:e|ins) ?525|un ?181[34]"),
    (SODIUM, r"1310 73 2|215 185 5|(?:e|ins) ?524|un ?182[34]"),
    (LITHIUM, r"1310 65 2|1310 66 3"),
)
_FORMULAS = {"koh": POTASSIUM, "naoh": SODIUM, "lioh": LITHIUM}
# Any part of a name, as in Kaliumhydroxid, potassico, draselny.
_METALS = (
    (POTASSIUM, r"potas|potaz|photais|kali|kaali|drasel|ποτασ|καλι|кали|потас"),
    (SODIUM, r"sod|soid|natr|naatr|vitissod|sosa\b|soude|σοδα|νατρ|натр|сода"),
    (LITHIUM, r"lithi|litio\b|litij|litu\b|lition|λιθι|лити"),
)
_HYDROXIDE = re.compile(
    r"hydroxyde?s?\b|(?:hydroxid|hydroksid|hidroxid|hidroksid|hudroksiid|idrossid"
    r"|hiodrocsaid|hidroksied|wodorotlen|υδροξειδ|хидроксид|гидроксид)\w{0,4}\b"
    r"|\b(?:hydrate?s?|idrato) (?:de |di |of )?(?:potas|sod|kali|natr)"
    r"|\b(?:potassium|sodium|kalium|natrium|natron|kali) ?hydrate?\b"
)
# Words that burn, beside soda or potash: caustic, bijtend, zracy, ziravy, aetzend.
_CAUSTIC = re.compile(
    r"\b(?:ca?ustic|caustiq|caustisch|kaust|kavst|kawst|bijtend|zrac|zirav|ziva\b"
    r"|aetz|atz|aets|loiscn|maro|vitis|καυστ|кауст)"
)
_NOT_CAUSTIC_SODA = re.compile(r"\b(?:lime|magnesi|calci|chaux|kalk)")
# A lye by its own word; which one, a metal beside it says.
_LYE = re.compile(
    r"\b(?:lyes?|loog|louh\w{0,3}|luh|lut|lud|lipea\w{0,3}|lipeakivi|seebikivi|lugko"
    r"|lug|lugow\w*|luzina|lesie|sarmas|sarms|leelis|αλισιβα|αλυσιβα|луга|lixivium"
    r"|lauge)\b"
    r"|(?:kali|natron|kalium|natrium|atz|aetz|soda)(?:lauge|loog|lut|lud|lipea|lug"
    r"|leelis|hydrat)\w{0,2}\b"
    r"|\b(?:lessive|lejia|lixivia|liscivia) (?:de |di |da )?"
    r"(?:caustica?|caustique|soude|sosa|soda|potas\w*)"
    r"|\b(?:натриева|калиева) основа\b"
)
# Alone they may be potash of the garden, washing soda or bleach.
_MAY_BE = (
    (POTASSIUM, r"(?:potash|potasse|potassa|potasa|potas|pottasche|potaska)"),
    (SODIUM, r"(?:soude|sosa)"),
    ("", r"(?:caustics?|lejia|lixivia|liscivia|alkali)"),
)
_FORMS = r"(?: (?:flakes?|pearls?|beads?|pellets?|powder|solid|liquid|solution|\d+))*"
_FREE = re.compile(
    r"\b(?:lye|koh|naoh|hydroxide|caustic|soda|alkali) free\b"
    r"|\b(?:no|without|free (?:of|from)|ohne|sans|sin|senza|zonder|sem|bez|uten|utan"
    r"|uden) (?:\w+ )?(?:lye|koh|naoh|hydroxide|lauge|soude|sosa|soda|loog|lut|lud"
    r"|caustic)\b"
)
# What serves a lye, or measures with it, and is none.
_BESIDE = re.compile(
    r"\b(?:kits?|testkits?|strips?|titrant|indicators?|labels?|stickers?|gloves?"
    r"|aprons?|goggles|jugs?|beakers?|spoons?|funnels?|thermometers?|lye soaps?"
    r"|neutrali[sz]er|deposit|pfand|consigne)\b"
)
_SOAP = re.compile(
    r"\b(?:soaps?|pastes?|base|shampoo|shaving|savons?|seife\w*|jabon|sapone|zeep"
    r"|sabao|mydlo|saippua)\b"
)


def strong_alkali(*texts: str, made: bool = False) -> StrongAlkali | None:
    """The strong alkali that any of these names speaks of; None where none does.

    ``made``: soap made here may be called after the alkali it was cooked with.
    """
    read = [_folded(text) for text in texts if text]
    found = [said for text in read if (said := _said(text, made)) is not None]
    if not found:
        return None
    which = {said.which for said in found} - {""}
    return StrongAlkali(
        which.pop() if len(which) == 1 else "", any(said.sure for said in found)
    )


def _folded(text: str) -> str:
    """Small letters without accents; whatever is no letter or digit is one space."""
    apart = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    bare = "".join(char for char in apart if not unicodedata.combining(char))
    bare = re.sub(r"(?<=\b\w)\.(?=\w\b)", "", bare)  # K.O.H.
    spaced = " ".join(re.sub(r"[\W_]+", " ", bare.translate(_LETTERS)).split())
    return re.sub(r"\b([a-z]) (?=[a-z]\b)", r"\1", spaced)  # K O H


def _said(text: str, made: bool) -> StrongAlkali | None:
    if _FREE.search(text) or _BESIDE.search(text) or (made and _SOAP.search(text)):
        return None
    named = {
        which for which, numbers in _NUMBERS if re.search(rf"\b(?:{numbers})\b", text)
    }
    named |= {_FORMULAS[word] for word in text.split() if word in _FORMULAS}
    metals = {
        which for which, stems in _METALS if re.search(rf"\b\w*?(?:{stems})", text)
    }
    if _HYDROXIDE.search(text):
        named |= metals
    caustic = _CAUSTIC.search(text) and not _NOT_CAUSTIC_SODA.search(text)
    if named:
        return _one_of(named)
    if (caustic and metals) or _LYE.search(text):
        return _one_of(metals)
    for which, words in _MAY_BE:
        if re.fullmatch(words + _FORMS, text):
            return StrongAlkali(which, sure=False)
    return None


def _one_of(which: set[str]) -> StrongAlkali:
    return StrongAlkali(which.pop() if len(which) == 1 else "")
