"""One row of a form: a label, and the field or fields beside it."""

from __future__ import annotations

from typing import ClassVar

from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from gwlog.tui.widgets.cells import plain


class LabelledRow(Horizontal):
    """A label of `width` columns and its fields, which share the rest."""

    DEFAULT_CSS: ClassVar[str] = """
    LabelledRow { height: auto; }
    LabelledRow > .label { width: 13; height: 1; }
    LabelledRow > EntryLine, LabelledRow > Choice { width: 1fr; }
    """

    def __init__(self, label: str, *fields: Widget, width: int = 13, id: str | None = None) -> None:  # noqa: A002
        name = Static(plain(label), classes="label", markup=False)
        name.styles.width = width
        super().__init__(name, *fields, id=id)
