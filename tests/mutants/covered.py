"""Which tests run which line: asked once, kept, and of changed files asked again."""

import json
import os
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from hashlib import sha256
from itertools import chain
from pathlib import Path

from tests.mutants.house import APPS, ROOT
from tests.mutants.operators import Mutant

ROOMS = ("production", "costing", "labels", "config", "published")
# Whole random workshops, the demo and processes of their own: a minute a test, and
# what they see somebody sees sooner.
LEFT_OUT = (
    *(
        "*_machine.py",
        "test_workshop_laws.py",
        "test_demo*",
        "test_the_demo*",
        "test_backup*",
    ),
    *("test_serving.py", "test_never_breaks.py", "test_readme.py", "test_threads.py"),
    *("test_full_disk.py", "test_one_fact*", "test_*_print.py", "test_stock_is_kept*"),
)
AT_ONCE = 24
MOST_SECONDS = 60.0


class Covered:
    """By test file: ``seen`` are the digests of itself and of what it ran, ``names``
    its tests, ``lines`` by source file and line the places among these of who ran it.
    """

    def __init__(self, file: Path, root: Path = ROOT) -> None:
        self.file, self.root = file, root
        kept = json.loads(file.read_text("utf-8")) if file.exists() else {}
        self.seen: dict[str, dict[str, str]] = kept.get("seen", {})
        self.seconds: dict[str, float] = kept.get("seconds", {})
        self.names: dict[str, list[str]] = kept.get("names", {})
        self.lines: dict[str, dict[str, dict[str, list[int]]]] = kept.get("lines", {})

    def ask(self, sources: Collection[str], say: Callable[[str], None]) -> None:
        """Run the test files of which the answer is not known, or no more."""
        stale = self.stale(sources)
        for at in range(0, len(stale), AT_ONCE):
            some = stale[at : at + AT_ONCE]
            say(f"asking {at + len(some)} of {len(stale)} files of tests what they run")
            with tempfile.TemporaryDirectory() as parts:
                _run(some, Path(parts), self.root)
                self.take(some, Path(parts))
            self.keep()

    def stale(self, sources: Collection[str]) -> list[str]:
        """Those that changed, or ran what is gone, or a changed one of ``sources``."""
        tests, now = self._tests(), self._digests()
        for gone in set(self.seen) - set(tests):
            del self.seen[gone], self.names[gone], self.lines[gone]
        return [test for test in tests if self._is_stale(test, sources, now)]

    def _is_stale(
        self, test: str, sources: Collection[str], now: Mapping[str, str]
    ) -> bool:
        seen = self.seen.get(test)
        if seen is None:
            return True
        return any(
            path not in now or (now[path] != digest and path in {test, *sources})
            for path, digest in seen.items()
        )

    def _digests(self) -> dict[str, str]:
        paths = [self.root / test for test in self._tests()]
        for app in APPS:
            paths += (self.root / app).rglob("*.py")
        return {
            path.relative_to(self.root).as_posix(): sha256(
                path.read_bytes()
            ).hexdigest()
            for path in paths
        }

    def _tests(self) -> list[str]:
        return [
            path.relative_to(self.root).as_posix()
            for room in ROOMS
            for path in sorted((self.root / "tests" / room).glob("test_*.py"))
            if not any(path.match(one) for one in LEFT_OUT)
        ]

    def take(self, files: Sequence[str], parts: Path) -> None:
        """The answers of one run; a test that fails today kills nothing."""
        now = self._digests()
        for file in files:
            self.names[file], self.lines[file] = [], {}
        for part in sorted(parts.glob("*.json")):
            told = json.loads(part.read_text("utf-8"))
            self.seconds |= told["seconds"]
            homes = [self._place(name) for name in told["names"]]
            for source, ran in told["lines"].items():
                for line, numbers in ran.items():
                    for file, place in (homes[one] for one in numbers):
                        of = self.lines[file].setdefault(source, {})
                        of.setdefault(line, []).append(place)
        for file in files:
            self.seen[file] = {path: now[path] for path in (file, *self.lines[file])}

    def _place(self, name: str) -> tuple[str, int]:
        """The file of a test, and where it stands among the names of it."""
        file = name.partition("::")[0]
        self.names[file].append(name)
        return file, len(self.names[file]) - 1

    def keep(self) -> None:
        self.file.parent.mkdir(parents=True, exist_ok=True)
        told = {
            "seen": self.seen,
            "seconds": self.seconds,
            "names": self.names,
            "lines": self.lines,
        }
        beside = self.file.with_suffix(".new")
        beside.write_text(json.dumps(told, separators=(",", ":")), encoding="utf-8")
        beside.replace(self.file)

    def tests_of(self, mutant: Mutant) -> list[str]:
        """Those that run its lines: the quickest, by turns with the quickest of each
        file, since what a line is for often has a file of its own."""
        found: set[str] = set()
        wanted = {str(line) for line in mutant.lines}
        for file, sources in self.lines.items():
            ran = sources.get(mutant.module.path, {})
            for line in ran if mutant.whole_module else wanted & ran.keys():
                found.update(self.names[file][place] for place in ran[line])
        quick = sorted(self._single(found), key=lambda one: (self.seconds[one], one))
        turns: Counter[str] = Counter()
        turn = {}
        for name in quick:
            file = name.partition("::")[0]
            turn[name] = turns[file]
            turns[file] += 1
        by_file = sorted(quick, key=turn.__getitem__)
        return list(
            dict.fromkeys(chain.from_iterable(zip(quick, by_file, strict=True)))
        )

    def _single(self, names: Iterable[str]) -> Iterable[str]:
        """A file by its name stands for all of its tests."""
        names = set(names)
        return (
            name
            for name in self.seconds
            if name in names or name.partition("::")[0] in names
        )

    def chosen(self, tests: Sequence[str], most: float = MOST_SECONDS) -> list[str]:
        """As many of them as so many seconds take, one at least."""
        found, took = [], 0.0
        for name in tests:
            took += self.seconds[name]
            if found and took > most:
                break
            found.append(name)
        return found

    def took(self, tests: Iterable[str]) -> float:
        return sum(self.seconds[name] for name in tests)


def _run(files: Sequence[str], parts: Path, root: Path) -> None:
    plugins = ["-p", "tests.mutants.covering", "-p", "no:cacheprovider"]
    told = subprocess.run(
        [sys.executable, "-m", "pytest", "-n", "2", "--tb=line", *plugins, *files],
        cwd=root,
        env=os.environ | {"MUTANTS_PARTS": str(parts)},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    # With 1 some test fails as the code stands, and is left out.
    if told.returncode not in (0, 1):
        raise RuntimeError(f"The tests could not be asked:\n{told.stdout}")
