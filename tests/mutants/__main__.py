"""Change the code in small ways, and tell which changes no test notices.

``python -m tests.mutants --seed 7 --count 80`` tries the known mistakes and so many
that are drawn; ``--only listed`` or ``--only drawn`` one of both. Which test runs which
line is asked first, once, and kept in the file of ``--map``. Ends with 1 where less
than 90 % was noticed.
"""

import argparse
import math
import queue
import sys
import tempfile
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path

from tests.mutants.covered import MOST_SECONDS, Covered
from tests.mutants.drawing import drawn
from tests.mutants.equivalent import EQUIVALENT
from tests.mutants.house import modules
from tests.mutants.listed import listed
from tests.mutants.operators import Mutant, mutants
from tests.mutants.trying import Copy, Verdict

ENOUGH = 0.9
AT_ONCE = 2
MAP = Path(tempfile.gettempdir()) / "mutants" / "map.json"


def main(arguments: Sequence[str] | None = None) -> int:
    asked = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    asked.add_argument("--seed", type=int, default=7)
    asked.add_argument("--count", type=int, default=60, help="to draw")
    asked.add_argument("--only", choices=["listed", "drawn"])
    asked.add_argument("--map", type=Path, default=MAP, help="which test runs what")
    asked.add_argument(
        "--seconds",
        type=float,
        default=MOST_SECONDS,
        help="of tests, to ask of a drawn one",
    )
    asked.add_argument("--named", default="", help="only those whose words hold this")
    asked.add_argument("--all", action="store_true", help="tell who noticed each")
    options = asked.parse_args(arguments)
    chosen = {
        kind: [one for one in some if options.named in f"{one.name} {one.diff}"]
        for kind, some in _wanted(options).items()
    }
    covered = Covered(options.map)
    covered.ask({one.module.path for some in chosen.values() for one in some}, say)
    shares = [
        _told(kind, _verdicts(some, covered, options))
        for kind, some in chosen.items()
        if some
    ]
    return 0 if shares and min(shares) >= ENOUGH else 1


def _wanted(options: argparse.Namespace) -> dict[str, list[Mutant]]:
    found = {}
    if options.only != "drawn":
        found["listed"] = listed(modules(all_rooms=True))
    if options.only != "listed":
        every = (one for module in modules() for one in mutants(module))
        differing = (one for one in every if one.known_as not in EQUIVALENT)
        found["drawn"] = drawn(differing, options.count, options.seed)
    return found


def _verdicts(
    some: Sequence[Mutant], covered: Covered, options: argparse.Namespace
) -> list[Verdict]:
    copies: queue.SimpleQueue[Copy] = queue.SimpleQueue()
    sound: dict[str, bool] = {}
    for _ in range(min(AT_ONCE, len(some))):
        copies.put(Copy(sound=sound))

    def tried(mutant: Mutant) -> Verdict:
        copy = copies.get()
        try:
            covering = covered.tests_of(mutant)
            # The known ones are few: each is asked of every test.
            most = math.inf if mutant.name else options.seconds
            tests = covered.chosen(covering, most)
            return copy.tried(mutant, tests, covered.took(tests), len(covering))
        finally:
            copies.put(copy)

    found = []
    try:
        with ThreadPoolExecutor(AT_ONCE) as pool:
            for done in as_completed([pool.submit(tried, one) for one in some]):
                found.append(done.result())
                if options.all or not found[-1].killed:
                    say(sentence(found[-1]))
    finally:
        while not copies.empty():
            copies.get().close()
    for name in sorted(name for name, passes in sound.items() if not passes):
        say(f"leans on the tests before it, and is not asked: {name}")
    return found


def sentence(verdict: Verdict) -> str:
    mutant = verdict.mutant
    name = f"{mutant.name}: " if mutant.name else ""
    if verdict.killed:
        return f"noticed   {name}{mutant.diff}\n          by {verdict.by}"
    meaning = f"\n          {mutant.meaning}" if mutant.meaning else ""
    ran = f"{verdict.asked} of {verdict.covering} tests that run it were asked"
    return f"unnoticed {name}{mutant.diff}{meaning}\n          {ran}"


def _told(kind: str, found: Sequence[Verdict]) -> float:
    killed = sum(one.killed for one in found)
    share = killed / len(found)
    say(f"{kind}: {killed} of {len(found)} noticed, {share:.0%}")
    return share


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
