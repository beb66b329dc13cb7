"""The search itself: so many inputs, each at a door drawn by lot."""

import time
from random import Random
from typing import Any

from tests.fuzz.bench import odd_codes
from tests.fuzz.files import Files, past
from tests.fuzz.found import Found
from tests.fuzz.orders import Orders
from tests.fuzz.pages import Desk


def search(
    inputs: int,
    seed: int,
    *,
    most_pages: int = 400,
    lies: bool = True,
    seconds: float = 0,
    at_once: Any = None,
) -> Found:
    """Send so many inputs to the book that stands; needs the demo in it."""
    found, dice = Found(at_once=at_once), Random(seed)
    end = time.monotonic() + seconds if seconds else 0.0
    past()
    odd_codes()
    desk, files, orders = Desk(found, dice), Files(found, dice), Orders(found, dice)
    try:
        desk.crawl(most_pages)
        if lies:
            files.all_lies()
        while found.inputs < inputs and not (end and time.monotonic() > end):
            draw = dice.random()
            if draw < 0.85:
                desk.step()
            elif draw < 0.95:
                files.step()
            else:
                orders.step()
    finally:
        desk.close()
    return found
