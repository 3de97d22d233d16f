"""Card codes: short, typed with gloves, with a check character that catches usual slips.

A code names a manual, a card and what an owner reads on it, never bytes nor an edition: a card
that says the same has the same code for ever.

Source: ISO/IEC 7064:2003, pure systems, and ISO 2108:2017 annex on the check digit: a sum with
distinct weights modulo a prime finds every single wrong character and every swapped pair.
"""

from __future__ import annotations

import hashlib
import re

# A prime number of letters and digits, none of which is read as another: no 0 O Q D, 1 I L,
# 5 S, 2 and no Z, 8 and no B, 6 and no G, V and no U.
ALPHABET = "2346789ACEFHJKMNPRTVWXY"
PRIME = len(ALPHABET)
LENGTH = 8
_GROUP = 4
_VALUE = {sign: value for value, sign in enumerate(ALPHABET)}
# Who types a look-alike that no code holds can only have read the other sign.
READ_AS = {"B": "8", "G": "6", "U": "V", "Z": "2"}
_ALIKE = str.maketrans("".join(READ_AS), "".join(READ_AS.values()))
_LISTED = r"[^\s,;/]{4}\s+[^\s,;/]{4}(?![^\s,;/])|[^\s,;/]+"
_ADDRESS = r"\S*/\S*#"  # of the card check, as the QR code on a card has it
_BETWEEN = r"[\s\-‐‑–—_.#]+"


def code(meaning: str) -> str:
    """The code of what a card says, as it is printed: `K7MX-3ACF`."""
    number = int.from_bytes(hashlib.sha256(meaning.encode()).digest())
    values = [number // PRIME**place % PRIME for place in range(LENGTH - 1)]
    last = -_sum(values) % PRIME
    return grouped("".join(ALPHABET[value] for value in (*values, last)))


def grouped(signs: str) -> str:
    """The characters of a code in groups, as they are printed."""
    return "-".join(signs[at : at + _GROUP] for at in range(0, len(signs), _GROUP))


def as_typed(text: str) -> str:
    """A typed code as it is printed: capitals, in groups, whatever stood between them.

    Of an address the code at its end is read. What can be no code stays as it was typed.
    """
    own = re.sub(_ADDRESS, "", text)
    signs = re.sub(_BETWEEN, "", own).upper().translate(_ALIKE)
    return grouped(signs) if len(signs) == LENGTH and signs.isalnum() else " ".join(text.split())


def as_listed(text: str) -> list[str]:
    """The codes in a field of a list, each once, as printed; the groups of one may stand apart."""
    own = re.sub(_ADDRESS, "", text)
    return list(dict.fromkeys(as_typed(one) for one in re.findall(_LISTED, own)))


def is_sound(text: str) -> bool:
    """Whether a code as printed has the right characters and its check character fits."""
    signs = text.replace("-", "")
    if len(signs) != LENGTH or text != grouped(signs) or not set(signs) <= set(ALPHABET):
        return False
    return _sum([_VALUE[sign] for sign in signs]) % PRIME == 0


def _sum(values: list[int]) -> int:
    """The weighted sum; the last of eight characters weighs 1, the first 8."""
    return sum((LENGTH - place) * value for place, value in enumerate(values))
