"""A document in one of the forms that people ask for: PDF, HTML, Markdown, CSV."""

from __future__ import annotations

from pathlib import Path

from gwlog.documents.render.blocks import Document


def rendered(made: Document, form: str, paper: str | None = None, font: Path | None = None) -> bytes:
    """A document as bytes. `form`: .pdf, .html, .md or .csv; for PDF `paper`: letter or a4, and `font`: a file of one's
    own for signs that the shipped face lacks.
    """
    if form == ".pdf":
        from gwlog.documents.render.pdf import pdf

        return pdf(made, paper, font)
    if form == ".html":
        from gwlog.documents.render.html import html

        return html(made).encode()
    if form == ".md":
        from gwlog.documents.render.markdown import markdown

        return markdown(made).encode()
    from gwlog.documents.render.csv import csv

    # The mark in front tells spreadsheets that the text is UTF-8.
    return csv(made).encode("utf-8-sig")


def unprintable(made: Document, form: str, font: Path | None = None) -> str:
    """The signs of a document that no font prints, neither `font` nor one of this machine; other forms than PDF print
    every sign. Raises BadInput where `font` is none.
    """
    if form != ".pdf":
        return ""
    from gwlog.documents.render.faces import chosen
    from gwlog.documents.render.pdf import every_word

    return chosen(every_word(made), font).missing
