"""What a page says, as lines of text: a paragraph, a pair, a row of a table each."""

import re
from html.parser import HTMLParser

LINES = {"p", "h1", "h2", "h3", "li", "tr", "caption", "summary", "legend", "form"}
LINES |= {"div", "section", "table", "dl", "ul", "details", "fieldset", "button", "dd"}
UNSEEN = {"script", "style", "datalist", "nav", "svg", "template"}
VOID = {"input", "br", "hr", "img", "link", "meta", "col", "wbr"}


class _Reader(HTMLParser):
    """Text inside of ``main``; what stands in a box is between brackets."""

    def __init__(self):
        super().__init__()
        self.lines: list[str] = []
        self.line: list[str] = []
        self.inside = self.hidden = 0
        self.option = self.area = False

    def handle_starttag(self, tag, attrs):
        said = {name: value or "" for name, value in attrs}
        if tag == "main":
            self.inside += 1
        if tag in UNSEEN or self.hidden:
            self.hidden += tag not in VOID
            return
        if tag in LINES:
            self.end_line()
        elif tag in {"td", "th", "dt"}:
            self.line.append(" | " if tag != "dt" else "")
        elif tag == "input":
            self._box(said)
        elif tag == "option":
            self.option = "selected" in said
        elif tag == "textarea":
            self.area = True

    def _box(self, said):
        kind = said.get("type", "text")
        if kind in {"hidden", "submit"}:
            return
        if kind in {"checkbox", "radio"}:
            self.line.append(" [x] " if "checked" in said else "")
        elif said.get("value"):
            self.line.append(f" [{said['value']}] ")

    def handle_endtag(self, tag):
        if tag == "main":
            self.end_line()
            self.inside -= 1
        if self.hidden:
            self.hidden -= tag not in VOID
        elif tag in LINES:
            self.end_line()
        elif tag == "dt":
            self.line.append(": ")
        elif tag in {"option", "select"}:
            self.option = False
        elif tag == "textarea":
            self.area = False

    def handle_data(self, data):
        if self.hidden or not self.inside:
            return
        if self.lasttag == "option" and not self.option and data.strip():
            return
        self.line.append(f" [{data}] " if self.option and data.strip() else data)

    def end_line(self):
        text = re.sub(r"\s+", " ", "".join(self.line)).strip(" |")
        if text and self.inside:
            self.lines.append(text)
        self.line = []


def lines_of(html: str) -> list[str]:
    """The lines of a page's main part, or of a whole fragment."""
    reader = _Reader()
    if "<main" not in html:
        html = f"<main>{html}</main>"
    reader.feed(html)
    reader.end_line()
    return reader.lines


def form_of(html: str) -> list[tuple[str, str]]:
    """What a browser would send of the form that posts, as pairs of name and value."""
    reader = _Form()
    reader.feed(html)
    return reader.pairs


class _Form(HTMLParser):
    """The boxes of the forms of a page that are sent by POST."""

    def __init__(self):
        super().__init__()
        self.pairs: list[tuple[str, str]] = []
        self.posts = False
        self.select = self.area = ""

    def handle_starttag(self, tag, attrs):
        said = {name: value or "" for name, value in attrs}
        name = said.get("name", "")
        if tag == "form":
            self.posts = said.get("method", "").lower() == "post"
        if not self.posts:
            return
        if tag == "input" and name:
            kind = said.get("type", "text")
            ticked = kind in {"checkbox", "radio"}
            if "checked" in said or (not ticked and kind != "file"):
                self.pairs.append((name, said.get("value", "on" if ticked else "")))
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select and "selected" in said:
            self.pairs.append((self.select, said.get("value", "")))
        elif tag == "textarea":
            self.area = name
            self.pairs.append((name, ""))

    def handle_data(self, data):
        if self.area:
            name, value = self.pairs.pop()
            self.pairs.append((name, value + data))

    def handle_endtag(self, tag):
        if tag == "form":
            self.posts = False
        elif tag == "select":
            self.select = ""
        elif tag == "textarea":
            self.area = ""
