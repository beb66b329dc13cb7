"""ISO/IEC 7064 MOD 37,36 against published identifiers and an independent library.

Sources: the Global Release Identifier of recorded music, whose last character is a
MOD 37,36 check over the seventeen before it; the three stand in the public
documentation of libraries for that identifier; python-stdnum, module
stdnum.iso7064.mod_37_36.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from production.quantities.domain.codes import STANDARD, check_character, next_code


@pytest.mark.parametrize(
    ("release", "check"),
    [
        ("A12425GABC1234002", "M"),
        ("A12425GABC1234011", "K"),
        ("A12425GX999150000", "3"),
    ],
)
def test_a_published_release_identifier_has_our_check_character(release, check):
    assert check_character(release) == check


@given(st.text(STANDARD, min_size=1, max_size=30))
def test_any_text_has_the_check_character_of_the_library(text):
    assert check_character(text) == mod_37_36.calc_check_digit(text)


def test_every_issued_code_passes_the_library():
    serial = 0
    for _ in range(2000):
        code, used = next_code(serial)
        assert mod_37_36.is_valid(code.replace("-", ""))
        serial = used + 1
