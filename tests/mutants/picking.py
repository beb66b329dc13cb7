"""A plugin of the test runner: the tests of ``MUTANTS_TESTS``, in that order."""

import json
import os
from pathlib import Path


def pytest_collection_modifyitems(items):
    named = json.loads(Path(os.environ["MUTANTS_TESTS"]).read_text("utf-8"))
    place = {name: at for at, name in enumerate(named)}
    items[:] = sorted(
        (item for item in items if item.nodeid in place),
        key=lambda item: place[item.nodeid],
    )
