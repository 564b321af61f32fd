from __future__ import annotations

WORDS = tuple(f"{a}{b}" for a in ["ba", "be", "bi", "bo", "bu", "da", "de", "di", "do", "du", "fa", "fe", "fi", "fo", "fu", "la", "le", "li", "lo", "lu", "ma", "me", "mi", "mo", "mu", "na", "ne", "no", "nu", "sa", "se", "so"] for b in ["ban", "den", "fin", "gon", "hun", "jan", "ken", "lin", "mon", "nun", "pan", "ren", "sin", "ton", "van", "wen", "zin", "bal", "del", "fil", "gol", "hul", "jal", "kel", "lil", "mol", "nul", "pal", "rel", "sil", "tol", "val"])
