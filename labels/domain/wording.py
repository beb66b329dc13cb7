"""Which claims a text makes, word by word, whatever its capitals and accents.

A pattern is words with a space between: ``germ*`` is any word that begins so, ``..``
stands for up to three words. A claim called ``nothing`` takes its words out of the
count: wheat germ is no germ. Words that are denied are found, and said to be so. In a
warning ("do not use on acne") a thing that is fought is no claim.
"""

import re
import unicodedata
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import takewhile

NOTHING = "nothing"
MOST_BETWEEN = 3
_WORD = re.compile(r"[^\W_]+|[.!?;:\n\r]|[,()\u2013\u2014]")
_ENDS = frozenset(".!?;:\n\r")
# Letters that no accent can be taken off.
_PLAIN = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe"})

# Letters of other alphabets that pass for Latin ones, by how they look.
_LOOKS = str.maketrans(
    "\u0430\u0435\u043e\u0440\u0441\u0443\u0445\u0456\u0455\u0458\u0501\u04bb"
    "\u0410\u0412\u0415\u041a\u041c\u041d\u041e\u0420\u0421\u0422\u0423\u0425\u0406"
    "\u0405\u0408"
    "\u03b1\u03b5\u03b9\u03ba\u03bf\u03bd\u03c1\u03c4\u03c5\u03c7"
    "\u0391\u0392\u0395\u0396\u0397\u0399\u039a\u039c\u039d\u039f\u03a1\u03a4\u03a5\u03a7",
    "aeopcyxisjdhABEKMHOPCTYXISJaeikovptuxABEZHIKMNOPTYX",
)
_OTHER_LETTERS = re.compile(r"[\u0370-\u052f]")
_LATIN = re.compile(r"[a-z]", re.IGNORECASE)
_BROKEN = re.compile(r"(?<=[^\W\d_])[-\u2010\u2011]\s*[\r\n]\s*(?=[^\W\d_])")

_DENIES = (
    "not cannot never non neither nor nicht nie pas jamais ne niet inte ikke aldrig ei "
    "nao nunca neni δεν μη"
)
_ABSENT = (
    "no without kein keine keinen keiner ohne sans sin senza geen zonder bez sem utan "
    "uden ilman χωρις"
)
_MORE = "only just merely simply nur seulement solo"
_SHORTENED = "don doesn isn won can aren didn wasn weren couldn"
# What may stand between "not" and what is denied.
_LINKS = (
    "a an any be been claim claimed claims to as use used on for intended meant "
    "of made suitable contain contains containing with is are the de du des la le les "
    "ein eine gegen contre contra fur pour para per voor"
)
# What a warning is known by, and what makes a claim of it all the same.
_WARNS = (
    "avoid keep consult discontinue stop if unless careful caution slippery spills "
    "eviter tenir consulter cesser meiden vermeiden fernhalten evitar mantener evitare "
    "tenere vermijd unikac undga undvik valta evitez"
)
_FIGHTS = (
    "kill kills killing fight fights treat treats treating against cure cures clears "
    "clear heal heals remove removes repel repels relieve relieves soothe soothes help "
    "helps prevent prevents stop stops tue elimine contre traite soigne gegen totet "
    "heilt hilft mata elimina contra combate uccide contro doodt tegen zabija mot mod "
    "vastaan κατα proti"
)
_NOT, _WITHOUT, _ONLY, _SHORT_NOT, _BETWEEN, _CAREFUL, _FIGHTING = (
    frozenset(words.split())
    for words in (_DENIES, _ABSENT, _MORE, _SHORTENED, _LINKS, _WARNS, _FIGHTS)
)
_CLAIMING = frozenset({"claim", "claims", "claimed"})
# To keep it from pets or dishes is no claim either.
_PURPOSES = frozenset({"dishes", "laundry", "surfaces", "animals"})
# A warning in some languages names its thing first: "bei Akne nicht verwenden".
_NOT_BEHIND = 3


@dataclass(frozen=True, slots=True)
class Pattern:
    """Words that make a claim, in one language.

    A ``thing`` is what is fought: to be without it is a claim as well.
    """

    words: tuple[str, ...]
    language: str
    claim: str
    thing: bool = False

    @classmethod
    def of(cls, row: Mapping[str, str]) -> "Pattern":
        """From a row of ``claim_words``: word, language, claim, thing."""
        words = tuple(_plain(row["word"]).split())
        return cls(words, row["language"], row["claim"], row["thing"] == "yes")


@dataclass(frozen=True, slots=True)
class Said:
    """A claim as it was found: the words as typed, and where they stand."""

    claim: str
    words: str
    where: str
    denied: bool = False


@dataclass(frozen=True, slots=True)
class _Token:
    plain: str
    start: int
    end: int


def _plain(text: str) -> str:
    """Small letters without accents; unseen signs are gone, and letters of another
    alphabet inside a Latin word are read as what they look like."""
    seen = "".join(sign for sign in text if unicodedata.category(sign) != "Cf")
    if _OTHER_LETTERS.search(seen) and _LATIN.search(seen):
        seen = seen.translate(_LOOKS)
    folded = unicodedata.normalize("NFKD", seen).casefold().translate(_PLAIN)
    return "".join(sign for sign in folded if not unicodedata.combining(sign))


def claims_in(
    texts: Mapping[str, str],
    patterns: Sequence[Pattern],
    warnings: Collection[str] = (),
) -> tuple[Said, ...]:
    """Every claim of every text, in order; ``texts`` by where they stand.

    ``warnings`` are the places that hold precautions. Of patterns that begin at one
    word the longest counts. A word that is broken at the end of a line is read joined,
    and as two words.
    """
    firsts: dict[str, list[Pattern]] = {}
    for pattern in patterns:
        firsts.setdefault(pattern.words[0][:2], []).append(pattern)
    found = [
        said
        for where, text in texts.items()
        for read in _readings(_visible(text))
        for said in _claims(where, read, firsts, warns=where in warnings)
    ]
    return tuple(dict.fromkeys(found))


def _readings(text: str) -> tuple[str, ...]:
    """A text, with its broken words joined, and with their hyphens."""
    return tuple(dict.fromkeys((_BROKEN.sub("", text), _BROKEN.sub("-", text))))


def _visible(text: str) -> str:
    kept = "".join(sign for sign in text if unicodedata.category(sign) != "Cf")
    return unicodedata.normalize("NFKC", kept)


def _claims(
    where: str, text: str, firsts: Mapping[str, Sequence[Pattern]], *, warns: bool
) -> Iterable[Said]:
    tokens = [
        _Token(_plain(one.group()), one.start(), one.end())
        for one in _WORD.finditer(text)
    ]
    place = 0
    while place < len(tokens):
        found = [
            (end, pattern)
            for pattern in firsts.get(tokens[place].plain[:2], ())
            if (end := _ends(pattern.words, tokens, place)) is not None
        ]
        if not found:
            place += 1
            continue
        end, pattern = max(found, key=lambda one: one[0])
        if pattern.claim != NOTHING:
            words = " ".join(text[tokens[place].start : tokens[end - 1].end].split())
            denied = _denied(pattern, tokens, place, end) or (
                warns and _warned_of(pattern, tokens, place, end)
            )
            yield Said(pattern.claim, words, where, denied)
        place = end


def _ends(words: Sequence[str], tokens: Sequence[_Token], place: int) -> int | None:
    """The place after the last word of a pattern that begins here, if it does."""
    if not words:
        return place
    if words[0] == "..":
        for between in range(MOST_BETWEEN + 1):
            if any(t.plain in _ENDS for t in tokens[place : place + between]):
                return None
            end = _ends(words[1:], tokens, place + between)
            if end is not None:
                return end
        return None
    if place >= len(tokens) or not _same(words[0], tokens[place].plain):
        return None
    return _ends(words[1:], tokens, place + 1)


def _same(wanted: str, word: str) -> bool:
    if wanted.endswith("*"):
        return word.startswith(wanted[:-1])
    return word == wanted


def _denied(pattern: Pattern, tokens: Sequence[_Token], start: int, end: int) -> bool:
    """Whether "not" stands right before or inside, or "free" right behind.

    "Without" and "free" deny what a soap does, not a thing: free of germs is a claim.
    """
    absent = frozenset() if pattern.thing else _WITHOUT
    if not pattern.thing and end < len(tokens) and tokens[end].plain == "free":
        return True
    for place in range(start + 1, end - 1):
        if tokens[place].plain in _NOT | _WITHOUT:
            return tokens[place + 1].plain not in _ONLY
    place = start - 1
    while place >= 0 and tokens[place].plain in _BETWEEN:
        if tokens[place].plain in _CLAIMING:
            absent = _WITHOUT
        place -= 1
    if place < 0:
        return False
    if tokens[place].plain == "t":
        return place > 0 and tokens[place - 1].plain in _SHORT_NOT
    return tokens[place].plain in _NOT | absent


def _warned_of(
    pattern: Pattern, tokens: Sequence[_Token], start: int, end: int
) -> bool:
    """Whether a precaution speaks of a thing without a word on fighting it."""
    if not pattern.thing and pattern.claim not in _PURPOSES:
        return False
    warned = False
    for token in reversed(tokens[:start]):
        if token.plain in _ENDS:
            break
        if token.plain in _FIGHTING and not warned:
            return False
        warned = warned or token.plain in _CAREFUL | _NOT
    if warned:
        return True
    behind = takewhile(
        lambda word: word not in _ENDS,
        (token.plain for token in tokens[end : end + _NOT_BEHIND]),
    )
    return not _NOT.isdisjoint(behind)
