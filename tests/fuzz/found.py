"""Each fault once, by the place in the house where it came up."""

import signal
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

BASE = Path(__file__).resolve().parents[2]
SLOW = 15
STUCK = 60


class Stuck(BaseException):
    """An input that never comes to an end; no ``except Exception`` may swallow it."""


@dataclass
class Found:
    """``faults`` is place -> (how often, first input, its traceback)."""

    inputs: int = 0
    faults: dict[str, tuple[int, str, str]] = field(default_factory=dict)
    slowest: tuple[float, str] = (0.0, "")
    answers: dict[str, int] = field(default_factory=dict)
    at_once: Callable[[str], object] | None = None

    def note(self, fault: BaseException, said: str) -> None:
        place = _place(fault)
        text = "".join(traceback.format_exception(fault, limit=-14))
        if self.at_once and place not in self.faults:
            self.at_once(f"{place}\n        {said[:600]}\n{text}")
        count, first, trace = self.faults.get(place, (0, said, text))
        self.faults[place] = (count + 1, first, trace)

    def note_words(self, place: str, said: str) -> None:
        count, first, _ = self.faults.get(place, (0, said, ""))
        self.faults[place] = (count + 1, first, "")

    @contextmanager
    def one(self, said: str) -> Iterator[None]:
        """One input: whatever comes out of it is a fault."""
        self.inputs += 1
        start = time.monotonic()
        try:
            with _not_for_ever():
                yield
        except (Exception, Stuck) as fault:
            self.note(fault, said)
        took = time.monotonic() - start
        if took > self.slowest[0]:
            self.slowest = (took, said)
        if took > SLOW:
            self.note_words(f"took more than {SLOW} seconds: {said[:60]}", said)

    def count(self, answer: Any) -> None:
        self.answers[str(answer)] = self.answers.get(str(answer), 0) + 1

    def tell(self, say: Callable[[str], object]) -> None:
        for place, (count, first, _) in sorted(self.faults.items()):
            say(f"{count:5} x {place}\n        {first[:600]}")
        answers = ", ".join(
            f"{count} x {a}" for a, count in sorted(self.answers.items())
        )
        say(f"Answers: {answers}")
        say(f"Slowest: {self.slowest[0]:.1f} s, {self.slowest[1][:200]}")
        say(f"{self.inputs} inputs, {len(self.faults)} places that broke")


def _place(fault: BaseException) -> str:
    frames = traceback.extract_tb(fault.__traceback__)
    own = [
        row
        for row in frames
        if Path(row.filename).is_relative_to(BASE)
        and not Path(row.filename).is_relative_to(BASE / "tests")
    ]
    last = frames[-1] if frames else None
    lies = f"{Path(last.filename).name}:{last.lineno}" if last else "nowhere"
    kind = type(fault).__name__
    if not own:
        return f"{kind} in {lies}"
    row = own[-1]
    where = Path(row.filename).relative_to(BASE)
    deep = "" if row is last else f" ({lies})"
    return f"{kind} in {where}:{row.lineno} {row.name}{deep}"


@contextmanager
def _not_for_ever() -> Iterator[None]:
    def stop(*_: object) -> None:
        raise Stuck(f"no end after {STUCK} seconds")

    before = signal.signal(signal.SIGALRM, stop)
    signal.alarm(STUCK)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)
