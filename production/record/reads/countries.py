"""The countries of ISO 3166-1, as the time zone data of this machine lists them."""

from functools import cache
from importlib.resources import files

# The list calls it Britain.
CALLED = {"GB": "United Kingdom"}


@cache
def countries() -> dict[str, str]:
    """English names by two letters, in the order of the names."""
    lines = files("tzdata.zoneinfo").joinpath("iso3166.tab").read_text("utf-8")
    rows = [
        line.split("\t") for line in lines.splitlines() if line[:1] not in {"", "#"}
    ]
    named = {code: CALLED.get(code, name) for code, name in rows}
    return dict(sorted(named.items(), key=lambda row: row[1].casefold()))
