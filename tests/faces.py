"""The specimen book with cards on it, for the tests of paper."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from placardry.book.cards import Card
from placardry.finding import Finding
from placardry.loader import load
from placardry.paper import cards
from placardry.resolve import Manual, resolve
from placardry.rules.specimen import SPECIMEN
from placardry.wording.phrases import Speaker

STATE = "Edition 3 of 2026-01-31"

FILES: Mapping[str, str] = {
    "procedures/more.yaml": """\
document: marl-manual
conditions:
  full-power: {short: at full throttle, engine-speed: above 7000 rpm}
limits:
  coolant-climb:
    parameter: coolant-temperature
    name: coolant in the climb
    maximum: 86 degC
    within: 5 min
    condition: full-power
    source: page 4
    exceeded: Reduce power.
  speed-avoid:
    parameter: engine-speed
    name: resonance
    avoid: 3200 to 3900 rpm
    source: page 4
    exceeded: Change the throttle.
facts:
  oil-mix: {nominal: "1:50", name: oil in the petrol, source: page 3}
  wait: {minimum: 10 s, name: wait, source: page 3}
tasks:
  service: {title: Service the engine, hours: "at 1, 5 h, then every 25 h", each: flying-day}
""",
    "procedures/fire.yaml": """\
procedure: fire
title: Fire
chapter: emergency
when: when you see flames
steps:
  - set: {master: off}
    memory: yes
  - do: Get out.
    memory: yes
  - hazard:
      signal: danger
      hazard: Burning petrol.
      consequence: It will kill you.
      avoid: Stay away.
  - wait: wait
    expect: {text: The fire is out.}
    otherwise: {text: Call for help.}
  - choose:
      - {when: someone is hurt, steps: [{do: Call a doctor.}]}
      - {when: nobody is hurt, steps: [{do: Rest.}, {do: "See {task/service}."}]}
""",
    "procedures/cards/limits.yaml": """\
card: limits
title: Engine limits
size: A5 landscape
place: on the panel
shows:
  - {heading: Water, scales: [coolant]}
  - {heading: Exhaust and speed, limits: [coolant-climb], limits-of: [engine-speed]}
  - {facts: [oil-mix], alarms: [coolant-alarm]}
  - {tasks: [service]}
  - {text: "Stop at {coolant.red}."}
""",
    "procedures/cards/fire.yaml": """\
card: fire
title: Fire
size: A6 portrait
place: on the panel
shows: [{procedure: fire}]
""",
    "procedures/cards/oil.yaml": """\
card: oil
title: Fuel
size: label 60x25
place: on the tank
shows: [{facts: [oil-mix]}]
""",
}


def manual_of(files: Mapping[str, str]) -> Manual:
    """The one manual of the specimen with these files laid over it."""
    whole = {**SPECIMEN, **FILES, **files}
    book, findings = load({path: text.encode() for path, text in whole.items()})
    assert book is not None
    assert not findings, [str(one.span) + " " + one.message for one in findings]
    manuals, strays = resolve(book)
    assert not strays
    return manuals[0]


@cache
def usual() -> Speaker:
    """The manual of the specimen with `FILES`."""
    return Speaker(manual_of({}))


def card_of(size: str, shows: str, title: str = "Card") -> dict[str, str]:
    """A file with a card `card`; `shows` and `title` as YAML."""
    text = f"card: card\ntitle: {title}\nsize: {size}\nplace: on the panel\nshows: {shows}\n"
    return {"procedures/cards/card.yaml": text}


def printed_card(
    speaker: Speaker, name: str = "card", *, draft: bool = False
) -> tuple[bytes | None, tuple[Finding, ...]]:
    """One card of a manual as it is printed."""
    card = speaker.manual.get(Card, name)
    face = cards.face_of(speaker, card)
    if face is None:
        return None, ()
    shown = cards.marked(speaker, face, draft=draft, state_line=STATE)
    return cards.render(speaker.manual, card, shown)


def printed(size: str, shows: str, title: str = "Card", **files: str) -> bytes:
    """A card that prints."""
    speaker = Speaker(manual_of({**card_of(size, shows, title), **files}))
    pdf, findings = printed_card(speaker)
    assert not findings, [one.message for one in findings]
    assert pdf is not None
    return pdf
