"""Finds the line number of every key of a TOML text, which tomllib does not keep.

It expects a text that tomllib has read without fault, and does not check the grammar again.
"""

from __future__ import annotations

Path = tuple[str | int, ...]
"""Where a key stands: ("site", "units"), ("basin", 0, "area_ft2"): the table, its number, the key."""


class Lines:
    """Lines and written values of a TOML text, by path; what was never written has its parent's line."""

    def __init__(self, text: str) -> None:
        self._line: dict[Path, int] = {}
        self._written: dict[Path, str] = {}
        _Walk(text, self._line, self._written).run()

    def of(self, path: Path) -> int:
        """The line of a key or table, from 1."""
        while path:
            if path in self._line:
                return self._line[path]
            path = path[:-1]
        return 1

    def written(self, path: Path) -> str | None:
        """The value as it was typed, or None for a table and for what was never written."""
        return self._written.get(path)


class _Walk:
    def __init__(self, text: str, line: dict[Path, int], written: dict[Path, str]) -> None:
        self.text, self.line, self.written = text, line, written
        self.at = 0
        self.line_no = 1
        self.counted = 0
        self.count: dict[Path, int] = {}

    def run(self) -> None:
        here: Path = ()
        while self._skip_blank():
            if self.text.startswith("[", self.at):
                here = self._header()
            else:
                self._pair(here)

    def _pair(self, here: Path) -> None:
        line = self._line_now()
        path = here
        for part in self._key():
            path = (*path, part)
            self.line.setdefault(path, line)
        self.at = self.text.index("=", self.at) + 1
        while self.text[self.at] in " \t":
            self.at += 1
        start = self.at
        if self.text[start] == "{":
            self._inline(path)
        else:
            self._value()
        self.written[path] = self.text[start:self.at].strip()

    def _inline(self, path: Path) -> None:
        self.at += 1
        while self._skip_blank():
            if self.text[self.at] == "}":
                self.at += 1
                return
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self._pair(path)

    def _header(self) -> Path:
        line = self._line_now()
        several = self.text.startswith("[[", self.at)
        self.at += 2 if several else 1
        path: Path = ()
        parts = self._key()
        for number, part in enumerate(parts, 1):
            path = (*path, part)
            if several and number == len(parts):
                self.line.setdefault(path, line)
                self.count[path] = self.count.get(path, -1) + 1
            if path in self.count:
                path = (*path, self.count[path])
            self.line.setdefault(path, line)
        self.at = self.text.index("]", self.at) + (2 if several else 1)
        return path

    def _key(self) -> list[str]:
        parts: list[str] = []
        text = self.text
        while True:
            while text[self.at] in " \t":
                self.at += 1
            sign = text[self.at]
            start = self.at
            if sign in "\"'":
                self._string(sign)
                parts.append(_unquoted(text[start:self.at]))
            else:
                while text[self.at] not in " \t.=]":
                    self.at += 1
                parts.append(text[start:self.at])
            while text[self.at] in " \t":
                self.at += 1
            if text[self.at] != ".":
                return parts
            self.at += 1

    def _value(self) -> None:
        """Step over one value: to the end of a string, of a bracket, or of a bare word."""
        text, depth = self.text, 0
        while self.at < len(text):
            sign = text[self.at]
            if sign in "\"'":
                self._string(sign)
            elif sign in "[{":
                depth += 1
                self.at += 1
            elif sign in "]}":
                if depth == 0:
                    return
                depth -= 1
                self.at += 1
            elif sign == "#" and depth:
                self._comment()
                continue
            elif depth == 0 and sign in ",#\n":
                return
            else:
                self.at += 1
                continue
            if depth == 0:
                return

    def _string(self, quote: str) -> None:
        text = self.text
        end = quote * 3 if text.startswith(quote * 3, self.at) else quote
        self.at += len(end)
        while not text.startswith(end, self.at):
            self.at += 2 if quote == '"' and text[self.at] == "\\" else 1
        self.at += len(end)
        if len(end) == 3:
            # up to two quotes may stand just before the closing three
            while text.startswith(quote, self.at):
                self.at += 1

    def _comment(self) -> None:
        end = self.text.find("\n", self.at)
        self.at = len(self.text) if end < 0 else end

    def _skip_blank(self) -> bool:
        while self.at < len(self.text):
            if self.text[self.at] in " \t\n":
                self.at += 1
            elif self.text[self.at] == "#":
                self._comment()
            else:
                return True
        return False

    def _line_now(self) -> int:
        self.line_no += self.text.count("\n", self.counted, self.at)
        self.counted = self.at
        return self.line_no


def _unquoted(key: str) -> str:
    import tomllib

    return next(iter(tomllib.loads(f"{key} = 0")))
