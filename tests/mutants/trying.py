"""Whether any test notices one change, in a copy of the tree that is thrown away."""

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.mutants.house import ROOT
from tests.mutants.operators import Mutant

NOT_COPIED = (".git", ".venv", ".data", ".demo", ".hypothesis", "build", "*.egg-info")
FREE_SECONDS = 90


@dataclass(frozen=True)
class Verdict:
    """``asked`` of the ``covering`` tests were run; ``by`` is the one that noticed."""

    mutant: Mutant
    killed: bool
    by: str
    asked: int
    covering: int


class Copy:
    """A tree of its own, in which one file at a time is changed.

    ``sound`` says of a test that noticed something whether it passes by itself as the
    code stands: one that leans on those before it would notice anything.
    """

    def __init__(self, root: Path = ROOT, sound: dict[str, bool] | None = None) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="mutants-"))
        self.tree = self.folder / "tree"
        self.sound = {} if sound is None else sound
        ignored = shutil.ignore_patterns(*NOT_COPIED)
        shutil.copytree(root, self.tree, ignore=ignored)

    def close(self) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def tried(
        self, mutant: Mutant, tests: Sequence[str], seconds: float, covering: int = 0
    ) -> Verdict:
        """Run these tests with the change; one that hangs was noticed too."""
        asked = [name for name in tests if self.sound.get(name, True)]
        if not asked:
            return Verdict(mutant, False, "", 0, covering)
        file = self.tree / mutant.module.path
        self._write(file, mutant.changed)
        try:
            by = self.run(asked, seconds)
        finally:
            self._write(file, mutant.module.bytes)
        if by in asked and not self._is_sound(by, seconds):
            return self.tried(mutant, asked, seconds, covering)
        return Verdict(mutant, bool(by), by, len(asked), covering)

    def _is_sound(self, name: str, seconds: float) -> bool:
        if name not in self.sound:
            self.sound[name] = not self.run([name], seconds)
        return self.sound[name]

    @staticmethod
    def _write(file: Path, text: bytes) -> None:
        file.write_bytes(text)
        # Two texts of one length and second would be taken for one.
        for old in (file.parent / "__pycache__").glob(f"{file.stem}.*.pyc"):
            old.unlink()

    def run(self, tests: Sequence[str], seconds: float) -> str:
        """The first test that fails, or that it hangs; "" where all pass."""
        named = self.folder / "tests.json"
        named.write_text(json.dumps(list(tests)), encoding="utf-8")
        home = self.folder / "home"
        facts = {
            "MUTANTS_TESTS": str(named),
            "KETTLEBOOK_HOME": str(home),
            "PYTHONDONTWRITEBYTECODE": "1",
            "PYTHONHASHSEED": "0",
        }
        files = sorted({name.partition("::")[0] for name in tests})
        options = [
            "-p",
            "tests.mutants.picking",
            "-p",
            "no:cacheprovider",
            "-x",
            "-rfE",
        ]
        quiet = ["--tb=no", "--no-header", "--hypothesis-seed=0"]
        process = subprocess.Popen(
            [sys.executable, "-m", "pytest", "-n", "0", *options, *quiet, *files],
            cwd=self.tree,
            env=os.environ | facts,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            start_new_session=True,
        )
        try:
            said, _ = process.communicate(timeout=FREE_SECONDS + 4 * seconds)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.communicate()
            return "it hangs"
        if process.returncode == 0:
            return ""
        if process.returncode in (1, 2, 4):
            return _first(said)
        raise RuntimeError(f"The tests could not be asked:\n{said}")


def _first(said: str) -> str:
    for line in said.splitlines():
        if line.startswith(("FAILED ", "ERROR ")):
            return line.partition(" ")[2].partition(" - ")[0]
    return "it does not load"
