"""A real Chromium: a walk ends with no console error and nothing for axe to say.

Set WALKS to a folder and each walk is recorded there, a picture a page.
"""

import os
import shutil
from itertools import count

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

# Playwright runs its own loop in this thread; the server has threads of its own.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
PHONE, DESK = 390, 1280
FLAGS = ["--no-sandbox", "--disable-background-networking", "--disable-sync"]


@pytest.fixture(scope="session")
def chromium():
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=FLAGS
        )
        yield browser
        browser.close()


class Walk:
    """One person at one screen; names of fields are those of the forms."""

    def __init__(self, page, base, scripts, name):
        self.page, self.base, self.scripts = page, base, scripts
        self.name, self.pictures = name, count(1)
        self.said = []
        page.on("console", lambda line: self._hear(line.type, line.text))
        page.on("pageerror", lambda fault: self.said.append(str(fault)))

    def _hear(self, kind, text):
        if kind == "error":
            self.said.append(text)

    def open(self, path):
        answer = self.page.goto(self.base + path)
        assert answer.status == 200, f"{path} answered {answer.status}"
        self.look()

    def look(self):
        """Nothing wider than the screen, nothing that axe would object to."""
        self.record()
        width = self.page.evaluate("document.documentElement.scrollWidth")
        assert width <= self.page.viewport_size["width"], self.page.url
        if self.scripts:
            found = Axe().run(self.page)
            assert not found.violations_count, found.generate_report()

    def record(self):
        if folder := os.environ.get("WALKS"):
            path = f"{folder}/{self.name}/{next(self.pictures):02}.png"
            self.page.screenshot(path=path, full_page=True)

    def fill(self, **fields):
        for name, value in fields.items():
            self.set(name.replace("__", "-"), value)

    def tick(self, name, *values):
        """Tick some of several boxes."""
        for value in values:
            self.page.locator(f'main [name="{name}"][value="{value}"]').check()

    def ask(self, **fields):
        """Fill in a form that only asks, and writes nothing."""
        for name, value in fields.items():
            self.set(name.replace("__", "-"), value, method="get")

    def set(self, name, value, method="post"):
        # A page may ask twice: the sheet that posts comes after the one that plans.
        form = f'main form[method="{method}"]'
        field = self.page.locator(f'{form} [name="{name}"]').first
        # What is not there yet is not folded away.
        field.wait_for(state="attached")
        self._unfold(field)
        kind = field.evaluate("node => node.type")
        if kind == "checkbox":
            field.set_checked(bool(value))
        elif kind == "radio":
            self.page.locator(f'main [name="{name}"][value="{value}"]').check()
        elif kind == "select-one":
            label = field.evaluate(
                "(node, text) => [...node.options].find("
                "o => o.value === text || o.text.includes(text))?.value",
                value,
            )
            assert label is not None, f"{name} has no {value}"
            field.select_option(value=label)
        else:
            field.fill(value)

    def _unfold(self, field):
        for _ in range(3):
            if field.is_visible():
                return
            field.locator("xpath=ancestor::details[not(@open)][last()]/summary").click()

    def press(self, words=None):
        """Press the one copper button, or the one with these words."""
        self.send(words)
        refused = self.page.locator("main .errorlist, main .refused")
        assert not refused.count(), refused.all_inner_texts()

    def send(self, words=None):
        """Press it, whether it is refused or not."""
        button = self.page.locator("main .act button, main form button:not(.quiet)")
        if words:
            button = self.page.get_by_role("button", name=words)
        with self.page.expect_navigation():
            button.last.click() if not words else button.first.click()
        self.look()

    def follow(self, words):
        """The first link of the page itself with these words."""
        with self.page.expect_navigation():
            self.page.locator("main").get_by_role("link", name=words).first.click()
        self.look()

    def sees(self, *words):
        text = self.page.locator("main").inner_text()
        for word in words:
            assert word in text, f"{word!r} is not on {self.page.url}:\n{text}"


@pytest.fixture(
    params=[(PHONE, True), (DESK, True), (PHONE, False)],
    ids=["phone", "desk", "phone-no-scripts"],
)
def walk(request, chromium, live_server, transactional_db):
    from tests import make

    person = make.owner()
    person.set_password("kettle and spoon 7")
    person.save()
    width, scripts = request.param
    context = chromium.new_context(
        viewport={"width": width, "height": 900}, java_script_enabled=scripts
    )
    context.set_default_timeout(8000)
    walker = Walk(context.new_page(), live_server.url, scripts, request.node.name)
    walker.open("/login/")
    walker.fill(username="ines", password="kettle and spoon 7")
    walker.press()
    yield walker
    context.close()
    assert not walker.said, walker.said
