"""What the field is called that holds an argument, wherever a form is shown."""

from __future__ import annotations

FIELDS = {
    "ec": "Conductivity", "sar": "SAR", "esp": "ESP", "boron": "Boron", "ph": "pH", "extract": "Extract",
    "at": "When", "by": "Who", "note": "Note", "to": "To", "volume": "Water", "load": "Load", "product": "Products",
    "contents": "Contents", "outlet": "Outlet", "basin": "Basin", "depth": "Depth", "rain": "Rain", "since": "Since",
    "kind": "What", "task": "Task", "way": "Came by", "amount": "Amount", "minutes": "Minutes", "flow": "Flow",
    "leave-out": "skip them", "font": "Paper, font",
}
"""The label of the field that holds an argument."""
