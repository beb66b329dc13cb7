"""The printing press: one packaged font, one page at a time, nothing ever fetched."""

import base64
import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from threading import Lock

from django.conf import settings
from fontTools.ttLib import TTFont
from weasyprint import CSS, HTML
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import URLFetcher

FAMILY = "Source Sans Pro"
# In the margin, so that nothing on the page moves.
DEMO = (
    '@page { @top-left { content: "Demo: all invented."; font: bold 9.5pt '
    f'"{FAMILY}"; '
    "vertical-align: bottom; padding-bottom: 2mm; white-space: nowrap } }"
)
WEIGHTS = {False: "Regular", True: "Bold"}

# Text layout shares one font map: one page at a time.
_AT_THE_PRESS = Lock()


@cache
def font_bytes(bold: bool) -> bytes:
    folder = files("font_source_sans_pro") / "files"
    return (folder / f"SourceSansPro-{WEIGHTS[bold]}.ttf").read_bytes()


def as_data(font: bytes) -> str:
    """A font file as a stylesheet carries it."""
    return base64.b64encode(font).decode()


@dataclass(frozen=True, slots=True)
class Press:
    """A stylesheet with its fonts, read once in a process."""

    fonts: FontConfiguration
    style: CSS
    fetcher: URLFetcher

    @classmethod
    def of(cls, css: str) -> "Press":
        """``css`` names its own fonts, as data."""
        fonts, fetcher = FontConfiguration(), URLFetcher(allowed_protocols={"data"})
        style = CSS(string=css, font_config=fonts, url_fetcher=fetcher)
        return cls(fonts, style, fetcher)

    def printed(self, *pages: str, pdf_tags: bool = False) -> bytes:
        """Documents in one PDF; each counts its own pages."""
        with _AT_THE_PRESS:
            laid = [
                HTML(string=html, url_fetcher=self.fetcher).render(
                    stylesheets=[self.style], font_config=self.fonts
                )
                for html in pages
            ]
            together = laid[0].copy([page for one in laid for page in one.pages])
            return together.write_pdf(pdf_tags=pdf_tags)


def print_pdf(html: str, css: str) -> bytes:
    """One document in the house's font."""
    return print_together([html], css)


def print_together(pages: Sequence[str], css: str) -> bytes:
    """Several documents in one PDF; "page 1 of 2" counts within each of them.

    A sign that the font lacks becomes a question mark, so that no other font slips in.
    """
    if settings.DEMO:
        css += DEMO
    return _press(css).printed(*(with_known_signs(html) for html in pages))


@cache
def _press(css: str) -> Press:
    faces = "".join(
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {700 if bold else 400}; '
        f"src: url(data:font/ttf;base64,{as_data(font_bytes(bold))}) }}\n"
        for bold in WEIGHTS
    )
    return Press.of(f'{faces}html {{ font-family: "{FAMILY}" }}\n{css}')


def with_known_signs(text: str) -> str:
    known = _signs()
    return "".join(sign if sign in known else "?" for sign in text)


@cache
def _signs() -> frozenset[str]:
    """What both weights can print, and the breaks between words and lines."""
    regular, bold = (
        TTFont(io.BytesIO(font_bytes(weight))).getBestCmap() for weight in WEIGHTS
    )
    return frozenset(map(chr, regular.keys() & bold.keys())) | frozenset("\n\r\t")
