"""Every worked case of labelling has a test that bears its number.

The cases were compiled from the law of each market; the source of each stands beside
its test.
"""

from pathlib import Path

import pytest

HERE = Path(__file__)
CASES = [
    "US-PDP-01",
    "US-PDP-02",
    "US-PDP-03",
    "US-PDP-04",
    "US-PDP-05",
    "US-PDP-06",
    "US-PDP-07",
    "US-PDP-08",
    "US-TYPE-09",
    "US-TYPE-10",
    "US-TYPE-11",
    "US-POS-12",
    "US-POS-13",
    "US-SPACE-14",
    "US-ING-15",
    "US-ING-16",
    "US-NET-17",
    "US-NET-18",
    "US-NET-19",
    "US-NET-20",
    "US-NET-21",
    "US-NET-22",
    "US-NET-23",
    "US-NET-24",
    "US-NET-25",
    "US-NET-26",
    "US-SOAP-27",
    "US-SOAP-28",
    "US-SOAP-29",
    "US-SOAP-30",
    "US-CONTACT-31",
    "US-CONTACT-32",
    "US-RECORD-33",
    "EU-QTY-34",
    "EU-QTY-35",
    "EU-QTY-36",
    "EU-QTY-37",
    "EU-QTY-38",
    "EU-QTY-39",
    "UK-QTY-40",
    "EU-QTY-41",
    "EU-QTY-42",
    "EU-QTY-43",
    "EU-PACK-44",
    "EU-MASS-45",
    "EU-EMARK-46",
    "UK-UNIT-47",
    "CA-TYPE-48",
    "CA-TYPE-49",
    "CA-TYPE-50",
    "CA-NET-51",
    "CA-NET-52",
    "CA-LANG-53",
    "CA-INGR-54",
    "US-ORDER-55",
    "EU-ORDER-56",
    "CA-ORDER-57",
    "XX-ORDER-58",
    "EU-ORDER-59",
    "EU-ALL-60",
    "EU-ALL-61",
    "EU-ALL-62",
    "EU-ALL-63",
    "EU-ALL-64",
    "EU-ALL-65",
    "EU-ALL-66",
    "CA-ALL-67",
    "GB-ALL-68",
    "EU-DUR-69",
    "EU-DUR-70",
    "EU-DUR-71",
    "EU-DUR-72",
    "EU-DUR-73",
    "GHS-74",
    "GHS-75",
    "EU-PH-76",
    "EU-CHEL-77",
    "GB-LANG-78",
    "US-NET-79",
    "US-POS-80",
    "US-NET-81",
    "US-BATH-82",
    "US-NET-83",
]


@pytest.fixture(scope="module")
def tests():
    folders = (HERE.parent, HERE.parents[1] / "published")
    files = [file for folder in folders for file in folder.rglob("*.py")]
    return "\n".join(file.read_text("utf-8") for file in files if file != HERE)


def test_all_cases_are_answered(tests):
    assert len(CASES) == len(set(CASES)) == 83
    assert [case for case in CASES if case not in tests] == []
