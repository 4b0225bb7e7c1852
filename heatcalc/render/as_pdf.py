"""A page as PDF, tagged for screen readers, from its HTML alone: nothing is fetched."""

from __future__ import annotations

import html
import io
import logging
import re
from base64 import b64encode

from heatcalc.errors import NoAnswer
from heatcalc.render.as_html import as_html
from heatcalc.report.report import Report

PNG_SCALE = 2.0  # of 72 dots an inch


def as_pdf(report: Report, system: str, paper: str | None = None) -> bytes:
    """The report as PDF bytes on "letter" or "a4", nothing folded, pages numbered."""
    return pdf(as_html(report, system, fold=False), paper or paper_of(system))


def first_page(made: bytes) -> bytes:
    """The first page of a PDF as PNG.  Raises NoAnswer where the papers extra is not installed."""
    try:
        from pypdfium2 import PdfDocument
    except ImportError:
        raise NoAnswer('a picture of a page needs the extra: pip install "heatcalc[papers]"') from None
    picture = io.BytesIO()
    PdfDocument(made)[0].render(scale=PNG_SCALE).to_pil().save(picture, "PNG")
    return picture.getvalue()


def paper_of(system: str) -> str:
    """The sheet of paper of a unit system: letter with feet and pounds, A4 with metres."""
    return "a4" if system == "si" else "letter"


def pdf(page: str, paper: str = "letter") -> bytes:
    """A page as PDF bytes on "letter" or "a4".  Raises NoAnswer where the papers extra is not installed."""
    try:
        from weasyprint import HTML
        from weasyprint.urls import URLFetcher
    except (ImportError, OSError):
        raise NoAnswer('a PDF needs the extra: pip install "heatcalc[papers]" (on some systems also the Pango library)') from None
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it reports style rules meant for screens
    words = _DRAWN.sub(_apart, page.replace("size: letter", f"size: {paper}"))
    made: bytes = HTML(string=words, url_fetcher=URLFetcher(allowed_protocols=("data",))).write_pdf(pdf_variant="pdf/ua-1")
    return made


_DRAWN = re.compile(r"<svg role=.*?<desc[^>]*>(.*?)</desc>.*?</svg>", re.DOTALL)


def _apart(drawn: re.Match[str]) -> str:
    """A drawing as a picture of its own with its words: parsed as XML and left out of the cascade of the page's styles."""
    words, kept = html.escape(html.unescape(drawn[1])), b64encode(drawn[0].encode()).decode()
    return f'<img alt="{words}" src="data:image/svg+xml;base64,{kept}">'
