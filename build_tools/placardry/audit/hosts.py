"""Where the links to the register and to the card check lead: to one address in all files."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from placardry.audit.claims import Block
from placardry.audit.told import ASTRAY, Told, tell
from placardry.finding import Span

if TYPE_CHECKING:
    from placardry.audit.missing import Held

_CHECK = re.compile(r"(?:^|/)check\.html(?:[#?]|$)")
_HOST = re.compile(r"(?:[a-z][a-z0-9+.-]*:)?//[^/?#]*", re.I)
_MEND = "build the manual again; the address of the site is set in the book alone"


def hosts_of(blocks: Iterable[Block]) -> Mapping[str, int]:
    """How many links of a file lead to the register or the card check of each host.

    The host of an address within the folder itself is empty; authors lead so to the card check.
    """
    found: Counter[str] = Counter()
    for block in blocks:
        for piece in block.pieces:
            host = _HOST.match(piece.target)
            if piece.figure or (host and block.page and _CHECK.search(piece.target)):
                found[host[0] if host else ""] += 1
    return dict(found)


def judged(held: Mapping[str, Held]) -> Iterator[Told]:
    """The files whose links lead to another host than those of most files of their kind do."""
    paper = {path: one.hosts for path, one in held.items() if path.endswith(".pdf") and one.hosts}
    pages = {path: one.hosts for path, one in held.items() if path.endswith(".html") and one.hosts}
    for files in (paper, pages):
        usual = _usual(files.values())
        for path, hosts in files.items():
            # A page may name the address that the printed manual leads to.
            right = {usual, _usual(paper.values())}
            for host in sorted(hosts.keys() - right):
                found, expected = (one or "files beside it" for one in (host, usual))
                message = f"{_links(hosts[host])} to the register or the card check lead to "
                message += f"`{found}`, those of the rest to `{expected}`"
                yield tell(ASTRAY, Span(path), message, _MEND, "", found, expected)


def _usual(files: Iterable[Mapping[str, int]]) -> str:
    """The host of most files, each with the one that most of its links lead to."""
    votes: Counter[str] = Counter()
    links: Counter[str] = Counter()
    for hosts in files:
        votes[max(hosts, key=lambda one: hosts[one])] += 1
        links.update(hosts)
    return max(votes, key=lambda one: (votes[one], links[one]), default="")


def _links(number: int) -> str:
    return "1 link" if number == 1 else f"{number} links"
