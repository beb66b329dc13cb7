"""The steps of a recipe, one a line, and what the clock says at each."""

import re
from dataclasses import dataclass
from datetime import time

from production.quantities.domain.refusal import Refused

DAY, BEGINS = 24 * 60, 8 * 60  # minutes

# ``0:25 Thick trace``; a ratio (2:1) and a clock with seconds are no such time.
_COLON = re.compile(r"([0-9]{1,3}):([0-9]{2})(?![0-9:])(?=\W|$)(.*)")
_HOURS = r"([0-9]{1,3})\s*(?:hours|hour|hrs|hr|h)"
_MINUTES = r"([0-9]{1,4})\s*(?:minutes|minute|mins|min)"
_PLUS = re.compile(
    rf"\+\s*(?:{_HOURS}(?:\s*{_MINUTES}|([0-9]{{1,2}}))?|{_MINUTES})(?!\w)\.?(.*)"
)
# What may stand between the time and the words: a colon, a dash.
_BETWEEN = re.compile(r"^(?:\s|[:,\u2013-](?=\s|$))+")


@dataclass(frozen=True, slots=True)
class ClockStep:
    """What to do, ``after`` so many minutes from the start; None: no time is said.

    ``clock`` is "" without a start; ``remark`` says what looks wrong about the time.
    """

    after: int | None
    clock: str
    text: str
    remark: str = ""

    @property
    def hour(self) -> str:
        """``00:10`` of ``next day 00:10``."""
        return self.clock[-5:]

    @property
    def day(self) -> str:
        """``next day`` of ``next day 00:10``; "" on the first day."""
        return self.clock[:-5].rstrip(", ")

    @property
    def elapsed(self) -> str:
        """``0:25``, hours and minutes since the start; "" where no time is said."""
        if self.after is None:
            return ""
        return f"{self.after // 60}:{self.after % 60:02}"


def parse_steps(text: str, start: time | None) -> tuple[ClockStep, ...]:
    """Read one step a line: ``0:25 Thick trace``, ``+2 h 40 min Cooked``, ``Stir``.

    Times count from the start. Refused for minutes of 60 and more beside hours, and
    for a time with nothing to do. A time before the one above it gets a remark.
    """
    steps: list[ClockStep] = []
    latest = 0
    for line in filter(None, map(str.strip, text.splitlines())):
        after, words = _timed(line)
        remark = ""
        if after is not None:
            if after < latest:
                remark = "Earlier than the step above it: check the times."
            latest = max(latest, after)
        steps.append(ClockStep(after, _clock(start, after), words, remark))
    return tuple(steps)


def nights(text: str) -> int:
    """How many nights the steps of a recipe last, begun at eight in the morning.

    The hour at which work begins is common practice, no source.
    """
    try:
        steps = parse_steps(text, None)
    except Refused:
        return 0
    return (BEGINS + max((step.after or 0 for step in steps), default=0)) // DAY


def _timed(line: str) -> tuple[int | None, str]:
    """Minutes since the start, and the words behind them."""
    if found := _COLON.fullmatch(line):
        hours, minutes, words = found.groups()
    elif found := _PLUS.fullmatch(line):
        hours, beside, bare, alone, words = found.groups()
        if hours is None:
            return int(alone), _words(line, words)
        minutes = beside or bare or "0"
    else:
        return None, line
    if int(minutes) >= 60:
        raise Refused(
            f"{line}: write minutes below 60, such as "
            f"{int(hours) + int(minutes) // 60}:{int(minutes) % 60:02}."
        )
    return int(hours) * 60 + int(minutes), _words(line, words)


def _words(line: str, words: str) -> str:
    if not (words := _BETWEEN.sub("", words)):
        raise Refused(f"{line}: write what to do at that time.")
    return words


def _clock(start: time | None, after: int | None) -> str:
    """``09:25``; past midnight ``next day 00:10``, later ``day 3, 08:00``."""
    if start is None or after is None:
        return ""
    days, minutes = divmod(start.hour * 60 + start.minute + after, DAY)
    clock = f"{minutes // 60:02}:{minutes % 60:02}"
    if days > 1:
        return f"day {days + 1}, {clock}"
    return f"next day {clock}" if days else clock
