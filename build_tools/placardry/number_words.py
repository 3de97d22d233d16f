"""Numbers spelt in words, rewritten in digits: `twelve hundred`, `siebentausendvierhundert`.

Ground floor, for the auditor alone: a book writes its figures in digits, but captions and posts
write what was said. A lone `a` or `ein` is no number.
"""

from __future__ import annotations

from placardry.number_words_de import german
from placardry.number_words_en import english
from placardry.rounding import decimal
from placardry.spelling import WORD, Words
from placardry.transcript import Rewritten, rewritten


def in_digits(text: str, language: str = "en") -> Rewritten:
    """The text with every number that it spells in words as a numeral of its language."""
    is_german = language.partition("-")[0].lower() == "de"
    read = german if is_german else english
    words = list(WORD.finditer(text))
    found, at = [], 0
    while at < len(words):
        number = read(Words(text, words, at))
        if number is None:
            at += 1
            continue
        count, value = number
        numeral = str(value) if value.denominator % 3 == 0 else decimal(value)
        numeral = numeral.replace(".", ",") if is_german else numeral
        found.append((words[at].start(), words[at + count - 1].end(), numeral))
        at += count
    return rewritten(text, found)
