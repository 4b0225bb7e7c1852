"""A page as PDF, tagged for screen readers, from its HTML alone: nothing is fetched."""

from __future__ import annotations

import html
import io
import logging
import os
import re
import signal
from base64 import b64encode
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from heatcalc.errors import NoAnswer

if TYPE_CHECKING:
    from concurrent.futures import ProcessPoolExecutor

    from heatcalc.report.report import Report

PNG_SCALE = 2.0  # of 72 dots an inch
PRINTERS = 2  # more of them start longer than the papers of one sale are worth

Spread = Callable[[Callable[[str], bytes], Iterable[str]], Iterable[bytes]]


def as_pdf(report: Report, system: str, paper: str | None = None) -> bytes:
    """The report as PDF bytes on "letter" or "a4", nothing folded, pages numbered."""
    from heatcalc.render.as_html import as_html

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


@contextmanager
def printers() -> Iterator[Spread]:
    """A `map` of pages into PDFs in other processes, which get ready while the caller still computes; here, where there is one
    processor or no other process can be started.

    For a program's own main file alone: a process begun so reads it again.  Raises NoAnswer where one is killed.
    """
    from concurrent.futures.process import BrokenProcessPool

    pool = _ready_pool() if (os.cpu_count() or 1) > 1 else None
    try:
        yield pool.map if pool else map
    except BrokenProcessPool:
        raise NoAnswer("a process that printed was killed, perhaps for want of memory; nothing is written") from None
    finally:
        if pool:
            pool.shutdown(cancel_futures=True)


def _ready_pool() -> ProcessPoolExecutor | None:
    """Processes that print an empty page first, so that their library is read; a stop from the keyboard is left to this one.

    Begun anew, not forked: numba's and the linear algebra's threads do not live through a fork.
    """
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    heard = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        pool = ProcessPoolExecutor(PRINTERS, get_context("spawn"))
        for _ in range(PRINTERS):
            pool.submit(pdf, "")
        return pool
    except (ImportError, NotImplementedError, OSError):
        return None
    finally:
        signal.signal(signal.SIGINT, heard)


_DRAWN = re.compile(r"<svg role=.*?<desc[^>]*>(.*?)</desc>.*?</svg>", re.DOTALL)


def _apart(drawn: re.Match[str]) -> str:
    """A drawing as a picture of its own with its words: parsed as XML and left out of the cascade of the page's styles."""
    words, kept = html.escape(html.unescape(drawn[1])), b64encode(drawn[0].encode()).decode()
    return f'<img alt="{words}" src="data:image/svg+xml;base64,{kept}">'
