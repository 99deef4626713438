"""The report as PDF, laid out from the same HTML by WeasyPrint: no browser, no network, the same on every machine."""

from __future__ import annotations

from importlib.util import find_spec
from typing import TYPE_CHECKING

from diag.errors import InputError
from diag.report.figures import System

if TYPE_CHECKING:
    from weasyprint.document import Document

__all__ = ["content", "laid_out"]

_PAPER = {"metric": "A4", "us": "letter"}
_SIZES = (8.2, 7.6, 7.1)  # of the type [pt], the largest that keeps to so many pages
_PAGES = 4


def content(html: str, system: System) -> bytes:
    """The PDF file. Errors: InputError as `laid_out`."""
    return bytes(laid_out(html, system).write_pdf(pdf_tags=True) or b"")


def laid_out(html: str, system: System) -> Document:
    """The pages of a report on A4, or on Letter for US units: four, unless the smallest type needs more.

    Errors: InputError when the layout library or the text library beneath it isn't installed.
    """
    if find_spec("weasyprint") is None:
        raise InputError("the PDF needs weasyprint: pip install 'diag[web]'; or write .html and print that")
    try:
        from weasyprint import CSS, HTML
        from weasyprint.urls import URLFetcher  # a second to load, which only who wants a PDF waits for
    except OSError:
        raise InputError(
            "the PDF needs the Pango library (on Debian: apt install libpango-1.0-0 libpangoft2-1.0-0); "
            "or write .html and print that"
        ) from None
    nothing = URLFetcher(allowed_protocols=())  # the report holds all that belongs in it
    found = HTML(string=html, url_fetcher=nothing)
    for size in _SIZES:
        paper = CSS(string=f"@page {{ size: {_PAPER[system]} }} :root {{ font-size: {size}pt !important }}")
        document = found.render(stylesheets=[paper])
        if len(document.pages) <= _PAGES:
            break
    return document
