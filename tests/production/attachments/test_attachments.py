"""Attached files: known by their bytes, kept once, never a row without them."""

import os
import stat

import pytest
from django.conf import settings
from hypothesis import given
from hypothesis import strategies as st

from config.audit import audit
from production.attachments.actions import attach_file
from production.models import Attachment
from production.papers.domain.papers import (
    LONGEST_NAME,
    MOST_BYTES,
    TYPES,
    clean_name,
    read_paper,
)
from production.papers.files.attachments import load, store
from production.quantities.domain.refusal import Refused
from tests import make

PDF = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"
JPEG = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00"
PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
WEBP = b"RIFF\x0a\x00\x00\x00WEBPVP8 "
TEXT = "Säurezahl 0,2\r\n".encode()


@pytest.mark.parametrize(
    ("name", "raw", "kind"),
    [
        ("analysis.pdf", PDF, "application/pdf"),
        ("tub.jpg", JPEG, "image/jpeg"),
        ("tub.JPEG", JPEG, "image/jpeg"),
        ("scale.png", PNG, "image/png"),
        ("paste.webp", WEBP, "image/webp"),
        ("note.txt", TEXT, "text/plain"),
        ("readings.csv", b"\xef\xbb\xbfday,pH\n", "text/csv"),
        ("page.txt", b"<script>alert(1)</script>", "text/plain"),
    ],
)
def test_a_file_is_what_its_bytes_say(name, raw, kind):
    paper = read_paper(name, raw)
    assert (paper.name, paper.type, paper.size) == (name, kind, len(raw))


@pytest.mark.parametrize(
    ("name", "raw", "says"),
    [
        ("analysis.pdf", JPEG, "it is a JPEG. Give it the ending .jpeg"),
        ("tub.jpg", PDF, "it is a PDF"),
        ("tub.png", b"GIF89a", "it is no PNG"),
        ("tub.webp", b"RIFF\x0a\x00\x00\x00WAVEfmt ", "it is no WEBP"),
        ("cut.pdf", b"%PD", "it is no PDF"),
        ("note.txt", PNG, "it is a PNG"),
        ("note.txt", b"a\x00b", "no plain text in UTF-8"),
        ("note.csv", b"S\xe4urezahl", "no plain text in UTF-8"),
        ("page.html", b"<p>", "of no kind that is kept here"),
        ("drawing.svg", b"<svg/>", "of no kind that is kept here"),
        ("setup.exe", b"MZ", "of no kind that is kept here"),
        ("analysis.pdf.html", PDF, "of no kind that is kept here"),
        ("pdf", PDF, "of no kind that is kept here"),
        (".pdf", PDF, "of no kind that is kept here"),
        ("", PDF, "The file is of no kind"),
        ("empty.pdf", b"", "empty.pdf is empty"),
        ("scan.pdf", PDF.ljust(MOST_BYTES + 1), "scan.pdf is larger than 10 MB"),
    ],
)
def test_a_file_that_is_not_what_it_says_is_refused(name, raw, says):
    with pytest.raises(Refused) as refused:
        read_paper(name, raw)
    assert says in str(refused.value)


def test_ten_megabytes_are_not_too_many():
    assert read_paper("scan.pdf", PDF.ljust(MOST_BYTES)).size == MOST_BYTES


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("../../etc/passwd.txt", "passwd.txt"),
        ("C:\\Users\\ines\\tub.jpg", "tub.jpg"),
        ("two\r\nlines.pdf", "two lines.pdf"),
        ("gnp.\u202efdp.txt", "gnp.fdp.txt"),
        ("  .hidden .pdf", "hidden.pdf"),
        ("Zertifikat Sa\u0308ure.pdf", "Zertifikat S\u00e4ure.pdf"),
        ("a" * 300 + ".pdf", "a" * 116 + ".pdf"),
        ("a." + "b" * 300, "b" * 120),
        ("\u200b", "The file"),
    ],
)
def test_a_name_is_cleaned(typed, kept):
    assert clean_name(typed) == kept


@given(st.text(max_size=400), st.sampled_from(sorted(TYPES)))
def test_any_name_cleans_to_one_that_is_safe_and_stays(stem, ending):
    name = clean_name(f"{stem}.{ending}")
    assert clean_name(name) == name
    assert 0 < len(name) <= LONGEST_NAME
    assert not set(name) & set("/\\\r\n\t\0")
    assert name.endswith(ending)


def test_the_same_bytes_are_kept_once(tmp_path):
    first, second = read_paper("a.pdf", PDF), read_paper("b.pdf", PDF)
    store(tmp_path, first)
    [kept] = [path for path in tmp_path.rglob("*") if path.is_file()]
    before = kept.stat().st_ino
    store(tmp_path, second)
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == [kept]
    assert kept.stat().st_ino == before
    mark = first.sha256
    assert kept == tmp_path / "attachments" / mark[:2] / mark[2:]
    assert load(tmp_path, mark) == PDF


def test_damaged_bytes_are_not_brought_and_are_mended_by_the_next(tmp_path):
    paper = read_paper("a.pdf", PDF)
    store(tmp_path, paper)
    [kept] = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    kept.write_bytes(PDF[:-1])
    assert load(tmp_path, paper.sha256) is None
    store(tmp_path, paper)
    assert load(tmp_path, paper.sha256) == PDF


def test_a_full_disk_refuses_and_leaves_nothing_behind(tmp_path, monkeypatch):
    def full(handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refused, match="could not be kept: No space left on device"):
        store(tmp_path, read_paper("a.pdf", PDF))
    assert not [path for path in tmp_path.rglob("*") if path.is_file()]


def keep(paper):
    store(settings.HOME, paper)


def attach(**facts):
    facts = {"file": read_paper("a.pdf", PDF), "store": keep, **facts}
    return attach_file(**make.act(), **facts)


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["lot", "batch", "purchase"])
def test_a_file_is_put_beside_one_thing(kind):
    lot = make.filled()
    bought = make.lot().line.purchase
    thing = {"lot": lot, "batch": lot.batch, "purchase": bought}[kind]
    row = attach(**{kind: thing}, note=" certificate ")
    assert list(thing.attachments.all()) == [row]
    assert (row.deed.verb, row.deed.by) == ("attach a file", make.owner())
    assert (row.name, row.type, row.size) == ("a.pdf", "application/pdf", len(PDF))
    assert row.note == "certificate"
    assert load(settings.HOME, row.sha256) == PDF


@pytest.mark.django_db
def test_a_double_click_attaches_once():
    lot, paper = make.lot(), read_paper("a.pdf", PDF)
    facts = {"file": paper, "store": keep, "lot": lot}
    row = make.sent_twice(attach_file, **make.act(), **facts)
    assert list(lot.attachments.all()) == [row]


@pytest.mark.django_db
def test_it_belongs_to_one_thing_and_no_more():
    lot = make.lot()
    with make.refused("one of them"):
        attach()
    with make.refused("one of them"):
        attach(lot=lot, purchase=lot.line.purchase)


@pytest.mark.django_db
def test_bytes_that_cannot_be_kept_leave_no_row():
    def full(paper):
        raise Refused("There is no room.")

    lot = make.lot()
    with make.refused("There is no room."):
        attach(lot=lot, store=full)


@pytest.mark.django_db
def test_the_bytes_are_there_before_the_row():
    seen = []
    attach(lot=make.lot(), store=lambda _: seen.append(Attachment.objects.count()))
    assert seen == [0]


@pytest.mark.django_db
def test_the_audit_names_what_is_gone_or_changed():
    for number, raw in enumerate([PDF, JPEG, PNG]):
        ending = ["pdf", "jpg", "png"][number]
        make.attachment(f"{number}.{ending}", raw, lot=make.lot())
    assert not _faults()
    paths = {
        row.name: settings.HOME / "attachments" / row.sha256[:2] / row.sha256[2:]
        for row in Attachment.objects.all()
    }
    paths["0.pdf"].unlink()
    paths["1.jpg"].write_bytes(JPEG + b"x")
    said = "\n".join(_faults())
    assert "0.pdf: its bytes are gone or changed" in said
    assert "1.jpg: its bytes are gone or changed" in said
    assert "2.png" not in said


def _faults():
    *_, ink = audit()
    return ink.faults
