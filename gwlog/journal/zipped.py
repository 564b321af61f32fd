"""Writes zip files in the one way that check_seal.py reads: members by name, one after the other, and nothing else.

The same content makes the same bytes with the same zlib.
"""

from __future__ import annotations

import io
import zlib
from collections.abc import Iterable, Mapping

from gwlog.journal.check_seal import closing, header


def zipped(made: Mapping[str, bytes | Iterable[bytes]]) -> bytes:
    """A zip of these files; what is given as parts is compressed as they are made."""
    out = io.BytesIO()
    directory = b""
    for name in sorted(made):
        place = out.tell()
        out.write(header(name, 0, 0, 0, None))
        content, size, crc = made[name], 0, 0
        start, deflate = out.tell(), zlib.compressobj(wbits=-15)
        for part in (content,) if isinstance(content, bytes) else content:
            size, crc = size + len(part), zlib.crc32(part, crc)
            out.write(deflate.compress(part))
        out.write(deflate.flush())
        end = out.tell()
        out.seek(place)   # what the header says of the content is known only now
        out.write(header(name, end - start, size, crc, None))
        out.seek(end)
        directory += header(name, end - start, size, crc, place)
    place = out.tell()
    out.write(directory + closing(len(made), len(directory), place))
    return out.getvalue()
