"""What counts as a check of free alkali, and when a reading has passed it.

pH alone never passes: soap is alkaline by itself, so a finished soap and one with a
little lye left can read the same. A drop test says yes or no, a titration how much, a
laboratory either with its paper.
"""

import re
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from production.chemistry.domain.titration import as_other
from production.quantities.domain.numbers import SHARE_STEP, plain
from production.quantities.domain.refusal import Refused
from production.record.domain.taste_tests import goes_by_tongue

NEUTRALITY, FREE_ALKALI, PH = "neutrality", "free alkali", "pH"
# What says that the alkali is used up, or that it is not.
VERDICTS = (NEUTRALITY, FREE_ALKALI)
# What is read of a thing because of the alkali in it.
OF_ALKALI = (*VERDICTS, PH)

DROP_TEST, TITRATION, LABORATORY = "drop test", "titration", "laboratory"
SUPPLIER, BEFORE = "supplier", "before"
# These give a figure of free alkali; the last two come with a paper.
FIGURED = (TITRATION, LABORATORY, SUPPLIER)
ON_PAPER = (LABORATORY, SUPPLIER)

# Common practice, no source: lye hides in pockets, at the wall and at the bottom.
SPOTS = ("top", "middle", "bottom", "wall")
FEWEST_SPOTS = 2

# SNI 06-3532-1994, toilet soap: free alkali at most 0.1 % as NaOH, which is 0.14 % as
# KOH (x 1.4027); a study of liquid soap quotes 0.14 % as KOH for potassium soap.
LIMIT_SOURCE = "SNI 06-3532-1994: 0.1 % as NaOH, which is 0.14 % as KOH"
HOUSE_LIMIT = as_other(Decimal("0.001"), "NaOH", "KOH").quantize(
    SHARE_STEP, ROUND_HALF_UP
)

# A green soap tincture is published with pH 9.5 to 11.5 (drug monograph); that soap
# above it still holds lye is common practice, no source.
PH_FAILS_ABOVE = Decimal("11.5")
# SNI 06-4085-1996, liquid bath soap of the soap type: pH 8 to 11.
PH_ASKED_BELOW = Decimal(8)

# Two titrations by hand agree within a few percent: common practice, no source.
BY_HAND = Decimal("1.05")

# What a thing under test is, by what is inside.
ALKALI, NEUTRALISED, SOAP, OTHER = "alkali", "neutralised", "soap", "other"


@dataclass(frozen=True, slots=True)
class Subject:
    """What is under test: its name, what it is, and what binds its readings.

    ``low`` and ``high`` are the recipe's limits by reading; ``holds`` is all its alkali
    as KOH, as a mass fraction, None where that is not known. ``made`` is made here.
    """

    name: str
    kind: str = OTHER
    made: bool = False
    counted: bool = False
    limits: tuple[tuple[str, Decimal | None, Decimal | None], ...] = ()
    holds: Decimal | None = None

    def band(self, what: str) -> tuple[Decimal | None, Decimal | None] | None:
        """The recipe's limits of one reading, None where it sets none."""
        for name, low, high in self.limits:
            if name == what and (low is not None or high is not None):
                return low, high
        return None

    def free_alkali_limit(self) -> Decimal:
        """The recipe's own limit, never above the ceiling of the house."""
        band = self.band(FREE_ALKALI)
        own = band[1] if band else None
        return HOUSE_LIMIT if own is None else min(own, HOUSE_LIMIT)


def to_step(share: Decimal) -> Decimal:
    """A share as a reading keeps it, half up."""
    return share.quantize(SHARE_STEP, ROUND_HALF_UP)


def percent(share: Decimal) -> str:
    """A small share to a thousandth of a percent."""
    return f"{plain((share * 100).quantize(Decimal('0.001'), ROUND_HALF_UP))} %"


def as_koh(share: Decimal, alkali: str) -> Decimal:
    """A typed figure of free alkali, counted as KOH, to the step of the book."""
    return to_step(as_other(share, alkali, "KOH"))


def counts_as_check(what: str, passed: bool | None, value: Decimal | None) -> bool:
    """Whether a reading says that alkali is used up, or that it is not."""
    if passed is None:
        return False
    if what == PH:
        return not passed and value is not None and value > PH_FAILS_ABOVE
    return what in VERDICTS


def verdict_of(reading: Any, limit: Decimal = HOUSE_LIMIT) -> bool | None:
    """What a reading will be judged to say of its alkali; None where it says nothing.

    Asked before there is a lot to judge it by: what goes on the same day.
    """
    if reading.what == FREE_ALKALI and reading.passed is None:
        return None if reading.value is None else bool(reading.value <= limit)
    if reading.what == PH and reading.value is not None:
        return False if reading.value > PH_FAILS_ABOVE else None
    if counts_as_check(reading.what, reading.passed, reading.value):
        return bool(reading.passed)
    return None


def is_passed_check(reading: Any) -> bool:
    """Whether a reading clears what it was taken of, as it stood when it was taken."""
    return (
        reading.passed is True
        and reading.what in VERDICTS
        and reading.sampled != "before"
    )


def judged(reading: Any, subject: Subject) -> Any:
    """A reading with its verdict. Raises Refused where its parts contradict."""
    _method_fits(reading, subject)
    if reading.what == FREE_ALKALI:
        return _titrated(reading, subject)
    if reading.what == PH:
        return _ph(reading, subject)
    if reading.what == NEUTRALITY:
        if reading.passed and subject.kind == ALKALI:
            raise Refused(_is_alkali(subject))
        _spots_named(reading)
        return reading
    return _within_band(reading, subject)


def taken_over(reading: Any, subject: Subject) -> Any:
    """The same of a past: what it says stays, what it left open is worked out."""
    if reading.passed and goes_by_tongue(reading.note):
        raise Refused(
            f"The {reading.what} check of {subject.name} was passed by tongue: that is "
            "no check. Take its note over without the verdict, and test again."
        )
    if reading.method == BEFORE:
        _piecewise(subject)
    if reading.value is None or subject.kind in (ALKALI, NEUTRALISED):
        return reading
    if reading.what == FREE_ALKALI:
        return _titration_taken_over(reading, subject)
    if reading.what == PH and subject.kind == SOAP and reading.value > PH_FAILS_ABOVE:
        if reading.passed:
            raise Refused(_too_alkaline(reading, subject))
        return replace(reading, passed=False)
    return reading


def _titration_taken_over(reading: Any, subject: Subject) -> Any:
    if reading.passed and reading.value > HOUSE_LIMIT:
        raise Refused(_beyond(reading, subject, HOUSE_LIMIT))
    if reading.passed is None:
        passed = reading.value <= subject.free_alkali_limit()
        return replace(reading, passed=passed)
    return reading


def spots_of(where: str) -> list[str]:
    """The spots that a text names, each once."""
    named = re.split(r"[,;/+&]|\band\b", where)
    return list(dict.fromkeys(filter(None, (spot.strip().lower() for spot in named))))


def _method_fits(reading: Any, subject: Subject) -> None:
    method = reading.method
    if not method:
        return
    if method == BEFORE:
        raise Refused(
            "What was tested before this book is noted by an owner, for filled goods: "
            "open Filled lots and choose 'Tested before this book'."
        )
    if method == SUPPLIER and subject.made:
        raise Refused(
            f"{subject.name} was made here: a supplier's paper speaks of what was "
            "bought. Do the drop test, or titrate it."
        )
    if method in ON_PAPER and not reading.where.strip():
        raise Refused(
            "Name the paper that the figure stands on: its number and its day."
        )


def _spots_named(reading: Any) -> None:
    if reading.method in FIGURED and reading.passed is not None:
        raise Refused(
            f"A {reading.method} gives a figure: note the free alkali that it found, "
            "and the verdict follows."
        )
    few = len(spots_of(reading.where)) < fewest(reading.passed)
    if reading.method == DROP_TEST and few:
        raise Refused(
            "Name the spots that were tested, two at least for a pass (top, middle, "
            "bottom, wall): lye hides in pockets. One pink spot stops the pot."
        )


def fewest(passed: bool | None) -> int:
    """How many spots a drop test names: one that stays pink is enough to fail."""
    return FEWEST_SPOTS if passed else 1


def _titrated(reading: Any, subject: Subject) -> Any:
    value = reading.value
    if subject.kind == ALKALI:
        raise Refused(_is_alkali(subject))
    if value is None:
        if reading.passed is None:
            return reading
        raise Refused(
            "Write how much free alkali was found, in percent; 0 where there was none."
        )
    if reading.method == DROP_TEST:
        raise Refused(
            "A drop test says yes or no, and no figure: note it as neutrality, or say "
            "that the figure is of a titration or a laboratory."
        )
    _can_be(value, subject)
    return _agreeing(replace(reading, method=reading.method or TITRATION), subject)


def _is_alkali(subject: Subject) -> str:
    if subject.made:
        return (
            f"{subject.name} is lye: no fat is in it that it could have saponified, so "
            "no check of free alkali passes it."
        )
    return (
        f"{subject.name} is alkali and no soap: its free alkali says nothing. Titrate "
        "the tub on its own page, and its purity is restated."
    )


def _agreeing(reading: Any, subject: Subject) -> Any:
    limit = subject.free_alkali_limit()
    within = reading.value <= limit
    if reading.passed and not within:
        raise Refused(_beyond(reading, subject, limit))
    if reading.passed is False and within:
        raise Refused(
            f"{percent(reading.value)} free alkali is within {percent(limit)}, and it "
            "is noted as not passed. Leave the verdict open; what else failed, such as "
            "a drop test, is noted by itself."
        )
    return replace(reading, passed=within)


def _can_be(value: Decimal, subject: Subject) -> None:
    if value < 0:
        raise Refused(
            f"{percent(value)} free alkali is less than none: write 0 where the acid "
            "found none, and read weight and acid again."
        )
    if subject.holds is not None and value > subject.holds * BY_HAND:
        raise Refused(
            f"{percent(value)} free alkali as KOH cannot be: all the alkali that went "
            f"into {subject.name} is {percent(subject.holds)} of it. Read the weight "
            "and the acid again; free alkali is not the total alkali of a paper."
        )


def _beyond(reading: Any, subject: Subject, limit: Decimal) -> str:
    return (
        f"{percent(reading.value)} free alkali as KOH is above the limit of "
        f"{percent(limit)} for {subject.name}: that is not passed. Leave the verdict "
        "open, cook on or correct it, and test again; free alkali burns skin and eyes."
    )


def _ph(reading: Any, subject: Subject) -> Any:
    if reading.passed:
        raise Refused(
            "pH alone passes nothing: soap is alkaline by itself, finished or not. "
            "Write the pH without a verdict, and do the drop test for the check."
        )
    soap = subject.kind == SOAP
    if soap and reading.value is not None and reading.value > PH_FAILS_ABOVE:
        return replace(reading, passed=False)
    return _within_band(reading, subject)


def _too_alkaline(reading: Any, subject: Subject) -> str:
    return (
        f"pH {plain(reading.value)} of {subject.name} is above "
        f"{plain(PH_FAILS_ABOVE)}: that is not passed. Take it over without the "
        "verdict."
    )


def _within_band(reading: Any, subject: Subject) -> Any:
    """Passed or not by the recipe's limits, where the reading left it open."""
    band = subject.band(reading.what)
    if reading.value is None or reading.passed is not None or band is None:
        return reading
    low, high = band
    passed = (low is None or low <= reading.value) and (
        high is None or reading.value <= high
    )
    return replace(reading, passed=passed)


def _piecewise(subject: Subject) -> None:
    if not subject.counted:
        raise Refused(
            f"'Tested before this book' is for filled goods, counted in pieces; "
            f"{subject.name} is none. Test it, and note the check."
        )


def ask_about_ph(value: Decimal | None, kind: str) -> str:
    """What to ask where a soap reads lower than soap does; "" else."""
    if kind != SOAP or value is None or value >= PH_ASKED_BELOW:
        return ""
    return (
        f"Soap is alkaline by itself: pH {plain(value)} is below "
        f"{plain(PH_ASKED_BELOW)}, so the meter, the paper or the sample may be off. "
        "Read it again; tick the box if it stays."
    )


def ceiling_of(high: Decimal | None) -> None:
    """A recipe's own limit for free alkali is never above the ceiling."""
    if high is not None and high > HOUSE_LIMIT:
        raise Refused(
            f"A limit of {percent(high)} free alkali as KOH is above "
            f"{percent(HOUSE_LIMIT)} ({LIMIT_SOURCE}). Write that or less."
        )
