"""A plugin of the test runner: which test runs which line, and how long it takes.

Each process writes one part into the folder of ``MUTANTS_PARTS``. What a fixture of a
class, a module or the session runs belongs to its file, since any test there may ask.
"""

import json
import os
from pathlib import Path

import coverage
import pytest

HOUSE = ("production", "costing", "labels", "config")
ROOT = Path(__file__).resolve().parents[2]


class Covering:
    def __init__(self, folder: Path):
        self.folder = folder
        self.seconds: dict[str, float] = {}
        self.passed: set[str] = set()
        self.watch = coverage.Coverage(
            data_file=None,
            config_file=False,
            source=[str(ROOT / app) for app in HOUSE],
            omit=["*/migrations/*"],
        )
        self.watch.start()
        self.now = ""

    def turn(self, to: str) -> str:
        before, self.now = self.now, to
        self.watch.switch_context(to)
        return before

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item, nextitem):
        self.turn(item.nodeid)
        try:
            return (yield)
        finally:
            self.turn("")

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef, request):
        if fixturedef.scope == "function":
            return (yield)
        before = self.turn(self.now.partition("::")[0])
        try:
            return (yield)
        finally:
            self.turn(before)

    def pytest_runtest_logreport(self, report):
        took = self.seconds.get(report.nodeid, 0.0)
        self.seconds[report.nodeid] = took + report.duration
        if report.when == "call" and report.passed:
            self.passed.add(report.nodeid)

    def pytest_sessionfinish(self):
        self.watch.stop()
        kept = self.watch.get_data()
        names = sorted(filter(None, kept.measured_contexts()))
        number = {name: place for place, name in enumerate(names)}
        lines = {
            str(Path(file).relative_to(ROOT)): {
                line: [number[name] for name in ran if name]
                for line, ran in kept.contexts_by_lineno(file).items()
                if any(ran)
            }
            for file in kept.measured_files()
        }
        told = {
            "seconds": {name: self.seconds[name] for name in sorted(self.passed)},
            "names": names,
            "lines": lines,
        }
        part = self.folder / f"{os.getpid()}.json"
        part.write_text(json.dumps(told), encoding="utf-8")


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests(early_config):
    folder = Path(os.environ["MUTANTS_PARTS"])
    early_config.pluginmanager.register(Covering(folder), "covering")
