"""The invented year as one history file: an empty book takes it in, and tells it."""

import pytest

from tests.config.conftest import run

pytestmark = pytest.mark.any_database


def test_the_invented_year_moves_house_unchanged(newcomer, tmp_path):
    told, home = tmp_path / "told.json", tmp_path / "new"
    home.mkdir()
    for house, *orders in (
        (newcomer.home, "demo", "export_history", str(told)),
        (home, "migrate", "-v0"),
        (home, "import_history", str(told)),
        (home, "export_history", str(tmp_path / "again.json")),
    ):
        done = run(house, *orders)
        assert done.returncode == 0, done.stderr
    text = told.read_text(encoding="utf-8")
    assert text.count("\n") > 500
    assert (tmp_path / "again.json").read_text(encoding="utf-8") == text
