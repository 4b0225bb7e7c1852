"""A page as PDF, from its HTML alone: nothing is fetched."""

from __future__ import annotations

import logging

from heatcalc.errors import NoAnswer


def pdf(html: str) -> bytes:
    """The page as PDF bytes.  Raises NoAnswer where the papers extra is not installed."""
    try:
        from weasyprint import HTML
        from weasyprint.urls import URLFetcher
    except (ImportError, OSError):
        raise NoAnswer('a PDF needs the extra: pip install "heatcalc[papers]" (on some systems also the Pango library)') from None
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)  # it reports style rules meant for screens
    made: bytes = HTML(string=html, url_fetcher=URLFetcher(allowed_protocols=("data",))).write_pdf()
    return made
