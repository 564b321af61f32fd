"""Short digests by which words of people are told apart without being written down."""

from __future__ import annotations

import hashlib


def digest_of(words: str) -> str:
    """A digest of some words, long enough that two of one household's do not meet."""
    return hashlib.blake2b(words.encode(), digest_size=9).hexdigest()
