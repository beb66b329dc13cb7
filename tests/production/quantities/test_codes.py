"""Codes that the tool issues."""

from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from production.quantities.domain.codes import (
    ALPHABET,
    SPREAD,
    STANDARD,
    check_character,
    is_valid,
    issue,
    mistyped,
    next_code,
    normalise,
)

SERIALS = [*range(3000), *range(32**4 - 500, 32**4 + 500)]
CODES = [code for serial in SERIALS if (code := issue(serial))]


def swapped(code: str) -> Iterator[str]:
    """Each neighbouring pair of characters the wrong way round, hyphen in its place."""
    bare = code.replace("-", "")
    for place in range(len(bare) - 1):
        left, right = bare[place : place + 2]
        if left != right:
            slip = bare[:place] + right + left + bare[place + 2 :]
            yield f"{slip[:-1]}-{slip[-1]}"


def written(number: int) -> str:
    digits = [number // 32**place % 32 for place in (3, 2, 1, 0)]
    return "".join(ALPHABET[digit] for digit in digits)


def test_a_code_is_four_characters_a_hyphen_and_a_check_character():
    assert issue(1) == "MSVR-H"
    assert all(len(code) == 6 for code in CODES[:2000])


def test_a_code_grows_when_the_serials_outgrow_its_width():
    assert len(next_code(32**4 - 10)[0]) == len("3K7Q-4")
    assert len(next_code(32**4)[0]) == len("3K7QX-4")
    assert len(next_code(32**4 + 32**5)[0]) == len("3K7QXY-4")


def test_serials_begin_at_zero():
    assert issue(0) == "2222-E"
    with pytest.raises(ValueError, match="begin at 0"):
        issue(-1)


def test_the_first_five_thousand_serials_give_no_code_twice():
    issued = [code for serial in range(5000) if (code := issue(serial))]
    assert len(set(issued)) == len(issued) > 4000


def test_the_spread_is_a_permutation_of_the_four_character_numbers():
    assert len({serial * SPREAD % 32**4 for serial in range(32**4)}) == 32**4


def test_neighbours_begin_differently():
    assert all(one[0] != other[0] for one, other in pairwise(CODES))


def test_every_issued_code_is_free_of_look_alikes_and_valid():
    for code in CODES:
        assert not set(code) & set("01IO")
        assert is_valid(code)


def test_only_look_alikes_and_unseen_swaps_are_skipped():
    for serial in range(3000):
        body = written(serial * SPREAD % 32**4)
        code = f"{body}-{check_character(body)}"
        # MOD 37,36 itself misses a few swaps; those codes are not handed out
        unseen = any(check_character(slip[:4]) == slip[-1] for slip in swapped(code))
        skipped = code[-1] in "01IO" or unseen
        assert issue(serial) == (None if skipped else code)


def test_next_code_steps_over_a_skipped_number():
    assert issue(3) is None
    assert next_code(3) == (issue(4), 4)
    assert next_code(4) == (issue(4), 4)


def test_every_wrong_character_is_noticed():
    for code in CODES[::10]:
        for place in (place for place, mark in enumerate(code) if mark != "-"):
            for wrong in set(STANDARD) - {code[place]}:
                slip = code[:place] + wrong + code[place + 1 :]
                assert not is_valid(slip)
                assert mistyped(slip)


def test_every_swap_of_neighbours_is_noticed():
    for code in CODES:
        for slip in swapped(code):
            assert not is_valid(slip)
            assert mistyped(slip)


def test_a_swap_that_the_standard_misses_is_never_issued():
    assert check_character("FU87") == check_character("FU78") == "L"
    back = pow(SPREAD, -1, 32**4)
    for body in ("FU87", "FU78"):
        number = sum(ALPHABET.index(mark) << 5 * p for p, mark in enumerate(body[::-1]))
        assert written(number) == body
        assert issue(number * back % 32**4) is None


@pytest.mark.parametrize("typed", ["msvrh", "MSVR H", " ms vr-h ", "MSVR-H", "M-SVRH"])
def test_a_code_is_read_however_it_is_spaced(typed):
    assert normalise(typed) == "MSVR-H"
    assert not mistyped(typed)


@pytest.mark.parametrize("typed", ["", "7", "Drum 12/2024-a", "lot-2024-0007"])
def test_a_code_from_outside_is_left_alone(typed):
    assert normalise(f" {typed} ") == typed
    assert not mistyped(typed)


def test_a_look_alike_character_is_called_mistyped():
    assert mistyped("MSVO-H")
    assert mistyped("1SVR-H")


def test_the_check_character_knows_only_digits_and_capital_letters():
    with pytest.raises(ValueError, match="substring not found"):
        check_character("a")


@given(st.text(max_size=9))
def test_reading_twice_changes_nothing(typed):
    assert normalise(normalise(typed)) == normalise(typed)
    assert not (mistyped(typed) and is_valid(normalise(typed)))
