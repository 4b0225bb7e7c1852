"""A page as PDF, tagged for screen readers, from its HTML alone: nothing is fetched."""

from __future__ import annotations

import logging

from heatcalc.errors import NoAnswer
from heatcalc.render.as_html import as_html
from heatcalc.report.report import Report


def as_pdf(report: Report, system: str) -> bytes:
    """The report as PDF bytes, nothing folded, pages numbered."""
    return pdf(as_html(report, system, fold=False))


def pdf(html: str) -> bytes:
    """A page as PDF bytes.  Raises NoAnswer where the papers extra is not installed."""
    try:
        from weasyprint import HTML
        from weasyprint.urls import URLFetcher
    except (ImportError, OSError):
        raise NoAnswer('a PDF needs the extra: pip install "heatcalc[papers]" (on some systems also the Pango library)') from None
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it reports style rules meant for screens
    page = HTML(string=html, url_fetcher=URLFetcher(allowed_protocols=("data",)))
    made: bytes = page.write_pdf(pdf_variant="pdf/ua-1")
    return made
