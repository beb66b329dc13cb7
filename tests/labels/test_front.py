"""The name on the front tells no amount: contents have their own place."""

import pytest

from labels.domain.front import amount_in, printed_name


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("Tideline 8 fl oz", "8 fl oz"),
        ("Jumbo size 16 fl. oz.", "16 fl. oz."),
        ("Crème 250 ml", "250 ml"),
        ("Mint 1/2 gal", "1/2 gal"),
        ("No. 5 soap", ""),
        ("100 % olive", ""),
        ("Formula 2 large", ""),
    ],
)
def test_an_amount_in_a_name_is_seen(text, amount):
    assert amount_in(text) == amount


@pytest.mark.parametrize(
    ("typed", "item", "name"),
    [
        ("", "Tideline 8 fl oz", "Tideline"),
        ("", "Hand wash 16 fl oz", "Hand wash"),
        ("", "Slipway 8 fl oz foamer", "Slipway foamer"),
        ("", "250 ml", "250 ml"),
        ("Sea  Foam", "Tideline 8 fl oz", "Sea Foam"),
    ],
)
def test_the_printed_name_is_that_of_the_item_without_its_amount(typed, item, name):
    assert printed_name(typed, item) == name
