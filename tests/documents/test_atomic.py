"""A file is there whole, for its owner only, or the old one is still there."""

from __future__ import annotations

from pathlib import Path

import pytest

from gwlog.documents.atomic import put_file
from gwlog.errors import BadInput, GwlogError


def test_a_file_replaces_the_old_one_and_only_its_owner_reads_it(tmp_path: Path) -> None:
    out = tmp_path / "r.md"
    out.write_text("old")
    out.chmod(0o644)
    put_file(out, b"new")
    assert out.read_bytes() == b"new"
    assert out.stat().st_mode & 0o777 == 0o600


def test_when_writing_fails_the_old_file_stays_and_no_piece_is_left(tmp_path: Path,
                                                                    monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "r.md"
    out.write_text("old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(GwlogError, match="No space left"):
        put_file(out, b"new")
    assert out.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["r.md"]


def test_a_folder_or_a_missing_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="is a folder"):
        put_file(tmp_path, b"x")
    with pytest.raises(BadInput, match="does not exist"):
        put_file(tmp_path / "none" / "r.md", b"x")
