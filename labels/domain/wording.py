"""Which claims a text makes, word by word, whatever its capitals and accents.

A pattern is words with a space between: ``germ*`` is any word that begins so, ``..``
stands for up to three words. A claim called ``nothing`` takes its words out of the
count: wheat germ is no germ. Words that are denied are found, and said to be so.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

NOTHING = "nothing"
MOST_BETWEEN = 3
_WORD = re.compile(r"[^\W_]+|[.!?;:\n\r]|[,()\u2013\u2014]")
_ENDS = frozenset(".!?;:\n\r")
# Letters that no accent can be taken off.
_PLAIN = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "æ": "ae", "œ": "oe"})

_DENIES = "not cannot never non neither nor nicht nie pas jamais ne niet"
_ABSENT = "no without kein keine keinen keiner ohne sans sin senza geen zonder bez"
_MORE = "only just merely simply nur seulement solo"
_SHORTENED = "don doesn isn won can aren didn wasn weren couldn"
# What may stand between "not" and what is denied.
_LINKS = (
    "a an any be been claim claimed claims to as use used on for intended meant "
    "suitable contain contains containing with is are the de du des la le les ein eine "
    "gegen contre contra fur pour para per voor"
)
_NOT, _WITHOUT, _ONLY, _SHORT_NOT, _BETWEEN = (
    frozenset(words.split()) for words in (_DENIES, _ABSENT, _MORE, _SHORTENED, _LINKS)
)


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
    """Small letters without accents; unseen signs are gone."""
    seen = "".join(sign for sign in text if unicodedata.category(sign) != "Cf")
    folded = unicodedata.normalize("NFKD", seen).casefold().translate(_PLAIN)
    return "".join(sign for sign in folded if not unicodedata.combining(sign))


def claims_in(
    texts: Mapping[str, str], patterns: Sequence[Pattern]
) -> tuple[Said, ...]:
    """Every claim of every text, in order; ``texts`` by where they stand.

    Of patterns that begin at one word the longest counts.
    """
    firsts: dict[str, list[Pattern]] = {}
    for pattern in patterns:
        firsts.setdefault(pattern.words[0][:2], []).append(pattern)
    return tuple(
        said
        for where, text in texts.items()
        for said in _claims(where, _visible(text), firsts)
    )


def _visible(text: str) -> str:
    kept = "".join(sign for sign in text if unicodedata.category(sign) != "Cf")
    return unicodedata.normalize("NFKC", kept)


def _claims(
    where: str, text: str, firsts: Mapping[str, Sequence[Pattern]]
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
            denied = _denied(pattern, tokens, place, end)
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
        place -= 1
    if place < 0:
        return False
    if tokens[place].plain == "t":
        return place > 0 and tokens[place - 1].plain in _SHORT_NOT
    return tokens[place].plain in _NOT | absent
