"""The codes of each card by edition, as the copies of `editions.json` and the card check agree."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping

from placardry.audit.former import CODE, marks
from placardry.audit.past import History, Key
from placardry.audit.past_editions import MEND, odd
from placardry.audit.told import PAST, Told, line_at, on_line, tell
from placardry.codes import is_sound

Files = Mapping[str, bytes]
_ROW = re.compile(r'<tr\b[^>]*\bdata-code="([^"]*)".*?</tr>', re.DOTALL)
_TAG = re.compile(r"<[^<>]*>")


def replaced_in(page: str) -> Iterator[tuple[str, int]]:
    """The codes of which a card check says that another holds now, and since which edition."""
    for row in _ROW.finditer(page):
        text = _TAG.sub("", row[0])
        named = marks(text)
        if named and set(CODE.findall(text)) - {row[1]}:
            yield row[1], named[0][0]


def agreed(
    files: Files,
    copies: list[History],
    manual: str,
    codes: Collection[str],
    replaced: Mapping[str, int],
) -> tuple[dict[str, dict[int, str]], list[Told]]:
    """The codes of each card by edition; one with a wrong check character is never right.

    Args:
        files: by path
        copies: of `editions.json`
        manual: whose cards they are
        codes: that the card check tells of
        replaced: since which edition another code holds, as the card check says
    """
    told: list[Told] = []
    found: dict[str, dict[int, str]] = {}
    named = {code for one in copies for held in one.cards.values() for code in held.values()}
    unknown = sorted(set(codes) - named)
    for card in sorted({key[1] for one in copies for key in one.cards if key[0] == manual}):
        key = manual, card
        found[card] = {}
        wrong: dict[str, tuple[str, str]] = {}
        for number in sorted({n for one in copies for n in one.cards.get(key, {})}):
            given = [(one.path, _in(one, key, number)) for one in copies if number in one.editions]
            said = [code for _, each in given for code in each]
            sound = [code for code in said if not code or is_sound(code)] or unknown
            known = [code for code in sound if code in codes] or sound
            # Of some the card check says that another holds since.
            holding = [code for code in known if replaced.get(code, number + 1) > number]
            holding = holding or [code for code in unknown if code not in replaced] or known
            right = max(holding, key=said.count, default="")
            found[card][number] = right
            for path, each in given:
                if each != (right,):
                    wrong.setdefault(path, (" and ".join(each), right))
        for path, (code, expected) in wrong.items():
            if " and " in code:
                told.append(_twice(files, path, card, code, expected))
            else:
                what = f"`{code}` as the code of the card `{card}`"
                told.append(odd(files, path, what, code, expected, ""))
    return found, told


def _in(copy: History, card: Key, number: int) -> tuple[str, ...]:
    """What a copy gives as the code of a card in an edition: one, or several."""
    return copy.twice.get((card, number)) or (copy.cards.get(card, {}).get(number, ""),)


def _twice(files: Files, path: str, card: str, codes: str, expected: str) -> Told:
    stray = next((one for one in codes.split(" and ") if one != expected), expected)
    data = files[path]
    at = max(data.find(f'"card": "{card}", "code": "{stray}"'.encode()), data.find(stray.encode()))
    line = line_at(data, at)
    named = codes.replace(" and ", "` and `")
    message = f"this file gives the card `{card}` two codes in one edition, `{named}`"
    message += f"; what else speaks of it gives `{expected}`"
    return tell(PAST, on_line(path, line), message, MEND, "", codes, expected)
