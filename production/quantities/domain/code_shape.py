"""The one shape of a code or mark that people give, whatever door it comes through.

It stands on labels, in addresses and in people's mouths: what looks the same is the
same, and nothing of it is unseen.
"""

import unicodedata

from production.quantities.domain.invisible import named, unseen
from production.quantities.domain.refusal import Refused

LONGEST = 40
# Behind the code of what was taken back; see ``stock/actions/freed_codes.py``.
GONE = " (taken back"
# What stands in an address where the code of a lot or batch may: ``lots/filled/``.
FIXED = frozenset({"filled", "numbered", "open", "run", "start", "tested-before"})

# Scripts in everyday use by Unicode Standard Annex #31, table 5, as the first word of a
# character's name (from memory). Those that are written together count as one.
_TOGETHER = {"CJK": "HAN", "HIRAGANA": "HAN", "KATAKANA": "HAN", "BOPOMOFO": "HAN"}
_SCRIPTS = frozenset(
    {
        "ARABIC",
        "ARMENIAN",
        "BENGALI",
        "CYRILLIC",
        "DEVANAGARI",
        "ETHIOPIC",
        "GEORGIAN",
        "GREEK",
        "GUJARATI",
        "GURMUKHI",
        "HAN",
        "HANGUL",
        "HEBREW",
        "KANNADA",
        "KHMER",
        "LAO",
        "LATIN",
        "MALAYALAM",
        "MYANMAR",
        "ORIYA",
        "SINHALA",
        "TAMIL",
        "TELUGU",
        "THAANA",
        "THAI",
        "TIBETAN",
    }
)
# Letters that cannot be told from a Latin one: Unicode Technical Standard #39,
# confusables.txt, those of its Cyrillic, Greek and Armenian lines that are letters here
# (from memory).
_PAIRS = (
    ("\u0410\u0412\u0415\u0405\u0406\u0408\u041a\u041c\u041d\u041e", "ABESIJKMHO"),
    ("\u0420\u0421\u0422\u0423\u0425\u04ae\u050c\u051a\u051c\u04c0", "PCTYXYGQWl"),
    ("\u0430\u0435\u0455\u0456\u0458\u043e\u0440\u0441\u0443", "aesijopcy"),
    ("\u0445\u04bb\u0501\u051b\u051d\u04bd\u04cf", "xhdqwel"),
    ("\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c", "ABEZHIKM"),
    ("\u039d\u039f\u03a1\u03a4\u03a5\u03a7\u03f9\u03f3", "NOPTYXCj"),
    ("\u03b1\u03b3\u03b9\u03bd\u03bf\u03c1\u03c5\u03f2", "ayivopuc"),
    ("\u054d\u054f\u0555\u0570\u0578\u057d\u0581\u0585", "USOhnugo"),
)
LOOK_ALIKES = {
    one: like for ours, latin in _PAIRS for one, like in zip(ours, latin, strict=True)
}
# Latin letters that look like another one, by the same file.
_LATIN_LOOK_ALIKES = {
    "\u0131": "i",
    "\u017f": "f",
    "\u01bd": "s",
    "\u01bf": "p",
    "\u01c3": "!",
    "\u01c0": "l",
    "\u0196": "l",
}
# A stroke that is drawn as l, and the long sound of kana, which anywhere else is drawn
# as a dash: the same file, from memory.
_STROKE, _LONG = "\u4e28", "\u30fc"
_LAST_LATIN = "\u024f"  # Latin Extended-B; phonetic letters behind it look like others


def refuse_shape(code: str) -> None:
    """Refuse, in a sentence, what is no code: see ``fault_of``."""
    if says := fault_of(code):
        raise Refused(says)


def keeps_shape(code: str) -> bool:
    """The same as a question; the mark of what was taken back is no part of it."""
    return not fault_of(code.rpartition(GONE)[0] or code)


def fault_of(code: str) -> str:
    """What is wrong with a code, and what to do; "" where nothing is."""
    if len(code) > LONGEST:
        return f"A code has at most {LONGEST} characters: this one has {len(code)}."
    if code != code.strip() or "  " in code:
        return "A code has no space at its ends and no two in a row. Take them out."
    for one in code:
        if says := _odd(one):
            return says
    if GONE in code:
        return "It ends like a code that was taken back. Choose another."
    if not any(one.isalnum() for one in code):
        return "A code has at least one letter or digit, such as L-1."
    return _looks_alike(code)


def shown(code: str) -> str:
    """A code with what cannot be seen written out: ``A<U+200B>B``."""
    return "".join(
        one if one == " " or (one.isprintable() and _seen(one)) else f"<{named(one)}>"
        for one in code
    )


def remark(code: str) -> str:
    """What a page says of a code that stands and keeps no shape; "" of any other."""
    if GONE in code or keeps_shape(code):
        return ""
    typed = in_address(code)
    way = "" if typed == code else f" Where it is asked for, write {typed}."
    return f"Its code, {shown(code)}, is an odd one: {fault_of(code)}{way}"


def in_address(code: str) -> str:
    """How a code stands in an address: as it is, or ``~`` and its bytes in hex where a
    browser, a server or a path of ours would make something else of it."""
    seen = code.isprintable() and code == code.strip() and code.strip(".")
    plain = seen and code not in FIXED
    if plain and not code.startswith("~") and not {"/", "\\"} & set(code):
        return code
    return "~" + code.encode("utf-8", "surrogatepass").hex()


def of_address(text: str) -> str:
    """The code back; ValueError where it is none, nor can stand in any book."""
    if text.startswith("~"):
        text = bytes.fromhex(text[1:]).decode("utf-8")
    if "\x00" in text:
        raise ValueError("a code has no empty character")
    return text


def _odd(one: str) -> str:
    """A character that stands in no code."""
    if one in "/\\":
        return f"A code has no {one} in it: it could not stand in an address. Write -."
    if one.isascii() and one.isprintable():
        return ""
    kind = unicodedata.category(one)
    if unseen(one):
        return (
            f"There is a character in it that cannot be seen ({named(one)}). Type the "
            "code by hand."
        )
    if unicodedata.normalize("NFKC", one) != one:
        return _another(one)
    if kind[0] in "NPS":
        return (
            f"{_told(one)} is on no plain keyboard. Write letters, "
            "0 to 9 and signs such as - or _."
        )
    script = _script(one)
    if script not in _SCRIPTS or (script == "LATIN" and one > _LAST_LATIN):
        return _another(one)
    return ""


def _looks_alike(code: str) -> str:
    if unicodedata.normalize("NFKC", code) != code:
        return (
            "Letters and their accents stand apart in it, and look like others that "
            "do not. Type the code by hand."
        )
    for before, one in zip(f" {code}", code, strict=False):
        kana = unicodedata.name(before, "").startswith(("KATAKANA", "HIRAGANA"))
        if one == _STROKE or (one == _LONG and not kana):
            return _another(one)
    if says := _runs_both_ways(code):
        return says
    scripts = {_script(one) for one in code if not one.isascii() or one.isalpha()}
    alike = [one for one in code if one in LOOK_ALIKES]
    if len(scripts) > 1 and (alike or "LATIN" in scripts):
        one = next((one for one in code if _script(one) != "LATIN" and one > "~"), "")
        return (
            f"It mixes letters of {_listed(scripts)}, and {_told(one)} is "
            "easy to take for another. Type the code in one alphabet."
        )
    if len(scripts) > 1:
        return f"It mixes letters of {_listed(scripts)}. Type it in one alphabet."
    letters = [one for one in code if one.isalpha()]
    if any(one in _LATIN_LOOK_ALIKES for one in letters):
        return _another(next(one for one in letters if one in _LATIN_LOOK_ALIKES))
    if letters and len(alike) == len(letters):
        latin = "".join(LOOK_ALIKES.get(one, one) for one in code)
        return (
            f"All its letters are {_listed(scripts)} and look like {latin}. Type "
            f"{latin} in Latin letters, or another code."
        )
    return ""


def _runs_both_ways(code: str) -> str:
    """Digits before a letter that runs from the right are drawn behind it."""
    ways = [unicodedata.bidirectional(one) for one in code]
    last = max((at for at, way in enumerate(ways) if way in ("R", "AL")), default=-1)
    if last < 0 or not ("L" in ways or {"EN", "AN"} & {*ways[:last]}):
        return ""
    return (
        "It runs from the left and from the right, and is drawn in another order than "
        "it is typed. Write the letters first and the digits behind them."
    )


def _another(one: str) -> str:
    like = unicodedata.normalize("NFKC", one)
    instead = _LATIN_LOOK_ALIKES.get(one, like if like != one else "")
    hint = f"Write {instead}." if instead.strip() else "Write another letter."
    return f"{_told(one)} looks like other letters. {hint}"


def _script(one: str) -> str:
    word = unicodedata.name(one, "").partition(" ")[0].partition("-")[0]
    return _TOGETHER.get(word, word)


def _listed(scripts: set[str]) -> str:
    return " and ".join(sorted(script.capitalize() for script in scripts))


def _seen(one: str) -> bool:
    return not unseen(one) and unicodedata.category(one)[0] != "M"


def _told(one: str) -> str:
    """A character and its number; the number alone of one that is not seen."""
    return f"{one} ({named(one)})" if one and _seen(one) else named(one)
