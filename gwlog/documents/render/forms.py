"""A document in one of the forms that people ask for: PDF, HTML, Markdown, CSV."""

from __future__ import annotations

from gwlog.documents.render.blocks import Document


def rendered(made: Document, form: str, paper: str | None = None) -> bytes:
    """A document as bytes. `form`: .pdf, .html, .md or .csv; `paper`: letter or a4, for PDF."""
    if form == ".pdf":
        from gwlog.documents.render.pdf import pdf

        return pdf(made, paper)
    if form == ".html":
        from gwlog.documents.render.html import html

        return html(made).encode()
    if form == ".md":
        from gwlog.documents.render.markdown import markdown

        return markdown(made).encode()
    from gwlog.documents.render.csv import csv

    # The mark in front tells spreadsheets that the text is UTF-8.
    return csv(made).encode("utf-8-sig")
