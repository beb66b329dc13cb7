"""The page that attaches a file, and the way it is given out again."""

import re

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.closing.actions import close_book
from production.models import Attachment
from production.papers.domain.papers import MOST_BYTES
from tests import make
from tests.production.writing import typed

PDF = b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n"


def a_file(name="analysis.pdf", raw=PDF, claimed="text/html"):
    """What a browser sends; what it claims the file to be counts for nothing."""
    return SimpleUploadedFile(name, raw, content_type=claimed)


def send(desk, url, file=None, **more):
    sent = typed(desk.get(url)) | more
    return desk.post(url, sent | ({"file": file} if file else {}))


def things():
    lot = make.filled("FILL-1")
    bought = make.lot().line.purchase
    return {
        "lot-attach": (lot, lot.code),
        "batch-attach": (lot.batch, lot.batch.code),
        "purchase-attach": (bought, bought.pk),
    }


@pytest.mark.parametrize("name", ["lot-attach", "batch-attach", "purchase-attach"])
def test_a_file_is_attached_and_listed(desk, name):
    thing, key = things()[name]
    answer = send(desk, reverse(name, args=[key]), a_file(), note="certificate")
    assert answer.url == thing.get_absolute_url()
    row = thing.attachments.get()
    page = desk.get(answer.url).content.decode()
    assert f"{row} is attached." in page
    assert f'href="{row.get_absolute_url()}">analysis.pdf</a> certificate' in page
    assert reverse(name, args=[key]) in page
    again = desk.get(reverse(name, args=[key])).content.decode()
    assert "Attached so far" in again
    assert f'href="{row.get_absolute_url()}">analysis.pdf</a>' in again


def test_a_double_click_attaches_once(desk):
    lot = make.lot("L1")
    url = reverse("lot-attach", args=["L1"])
    sent = typed(desk.get(url))
    answers = [desk.post(url, sent | {"file": a_file()}) for _ in range(2)]
    assert [answer.url for answer in answers] == [lot.get_absolute_url()] * 2
    assert lot.attachments.count() == 1


@pytest.mark.parametrize(
    ("file", "says"),
    [
        (None, "required"),
        (lambda: a_file(raw=b""), "analysis.pdf is empty"),
        (lambda: a_file("analysis.jpg"), "analysis.jpg is not what its name says"),
        (lambda: a_file("page.html", b"<p>"), "of no kind that is kept here"),
        (lambda: a_file(raw=PDF.ljust(MOST_BYTES + 1)), "larger than 10 MB"),
    ],
)
def test_a_refusal_says_why_and_keeps_the_note(desk, file, says):
    make.lot("L1")
    url = reverse("lot-attach", args=["L1"])
    before = make.book()
    answer = send(desk, url, file and file(), note="certificate")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert says in page
    assert 'value="certificate"' in page
    assert 'enctype="multipart/form-data"' in page
    assert make.book() == before


def test_a_refused_page_asks_for_the_file_once_more(desk):
    make.lot("L1")
    url = reverse("lot-attach", args=["L1"])
    page = send(desk, url, a_file(), on="2999-01-01").content.decode()
    assert "is still to come" in page
    assert "Choose the file once more" in page
    assert not Attachment.objects.exists()


@pytest.mark.parametrize(
    ("name", "raw", "kind"),
    [
        ("analysis.pdf", PDF, "application/pdf"),
        ("page.txt", b"<script>alert(1)</script>", "text/plain; charset=utf-8"),
        ("day.csv", b"day,pH\n", "text/csv; charset=utf-8"),
    ],
)
def test_a_file_is_saved_by_the_browser_and_never_run(desk, name, raw, kind):
    row = make.attachment(name, raw, lot=make.lot())
    answer = desk.get(row.get_absolute_url())
    assert (answer.status_code, answer.content) == (200, raw)
    assert answer["Content-Type"] == kind
    assert answer["Content-Disposition"] == f'attachment; filename="{name}"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Cache-Control"] == "no-store, private"


def test_a_name_breaks_out_of_no_header(desk):
    row = make.attachment(
        'S\u00e4ure"; x="\r\nSet-Cookie: a=b.pdf', PDF, lot=make.lot()
    )
    head = desk.get(row.get_absolute_url())["Content-Disposition"]
    assert re.fullmatch(r"attachment; filename\*=utf-8''[\w%.-]+", head)


def test_a_file_is_given_to_nobody_outside(desk, client):
    row = make.attachment(raw=b"acid value", lot=make.lot())
    desk.logout()
    for url in (row.get_absolute_url(), reverse("lot-attach", args=[row.lot.code])):
        answer = client.get(url)
        assert answer.status_code == 302
        assert answer.url.startswith(reverse("login"))


def test_a_file_whose_bytes_are_gone_says_so(desk):
    row = make.attachment("tub.txt", b"gone tomorrow", lot=make.lot("L1"))
    path = settings.HOME / "attachments" / row.sha256[:2] / row.sha256[2:]
    path.unlink()
    answer = desk.get(row.get_absolute_url())
    assert answer.status_code == 404
    page = answer.content.decode()
    assert "its bytes are missing" in page
    assert row.lot.get_absolute_url() in page


def test_a_maker_attaches_too(client, owner):
    client.force_login(make.maker())
    make.lot("L1")
    assert send(client, reverse("lot-attach", args=["L1"]), a_file()).status_code == 302
    assert Attachment.objects.get().deed.by == make.maker()


def test_a_file_is_not_dated_into_a_closed_month(desk, owner):
    make.lot("L1")
    close_book(through=make.day(30), past=True, **make.act(31))
    url = reverse("lot-attach", args=["L1"])
    page = send(desk, url, a_file(), on="2026-03-02").content.decode()
    assert "The book is closed through 2026-03-30" in page
    assert not Attachment.objects.exists()


def test_the_pages_ask_the_same_for_2_files_and_for_25(desk):
    there = things()
    urls = [reverse(name, args=[key]) for name, (_, key) in there.items()]
    urls += [thing.get_absolute_url() for thing, _ in there.values()]

    def asked():
        found = []
        for url in urls:
            with CaptureQueriesContext(connection) as questions:
                assert desk.get(url).status_code == 200
            found.append(len(questions))
        return found

    def attach(number):
        for name, (thing, _) in there.items():
            kind = name.split("-")[0]
            make.attachment(f"{number}.txt", b"%d" % number, **{kind: thing})

    for number in range(2):
        attach(number)
    few = asked()
    for number in range(2, 25):
        attach(number)
    assert asked() == few
