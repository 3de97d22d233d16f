"""A small book that has something of everything, and the one manual in it."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from typing import Any

from placardry.book.figures import Quotation
from placardry.book.pages import Page
from placardry.loader import load
from placardry.resolve import Manual, resolve
from placardry.walk import with_texts
from placardry.wording.phrases import Speaker

RICH: Mapping[str, str] = {
    "procedures/book.yaml": """\
format: 1
book: specimen
title: Owner's manual
publisher: Specimen Flight
dated: 2026-01-31
safety: Powered flight can kill. The maker's documents hold.
""",
    "procedures/documents.yaml": """\
documents:
  marl-manual: {title: Marl manual, issuer: Marl Engines, edition: "1", dated: 2025-01-31}
""",
    "procedures/machines.yaml": """\
engines:
  marl:
    name: Marl
    cooling: liquid
    starting: electric
    ignition-circuits: 1
    pulses-per-revolution: 1
airframes:
  frame: {name: Frame, kind: wheeled, seats: 1}
machines:
  tern:
    name: Tern
    model: Tern
    airframe: frame
    engine: marl
    panel: tern-panel
    options: {lamp: fitted, tank-sender: kit}
options:
  lamp: {name: map lamp, about: A lamp over the map.}
  tank-sender: {name: tank sender, notice: No sender is on your machine.}
markets:
  eu: {name: Europe, units: [degC, bar, L, km/h, m], rules: Ask your national authority.}
manuals:
  tern-eu: {machine: tern, market: eu, language: en}
""",
    "procedures/panel.yaml": """\
panel: tern-panel
name: Tern panel
size: [300, 200]
items:
  - {control: master, at: [40, 40]}
  - {instrument: wren, at: [150, 100]}
""",
    "procedures/controls.yaml": """\
controls:
  master:
    name: master switch
    label: MASTER
    kind: switch
    rests: off
    positions:
      off: {label: "OFF", does: Cuts the panel.}
      on: {label: "ON", does: Feeds the panel.}
""",
    "procedures/parameters.yaml": """\
parameters:
  engine-speed: {name: engine speed, units: {rpm: 10}, plausible: 0 to 12000 rpm}
  coolant-temperature:
    name: coolant temperature
    units: {degC: 1, degF: 1}
    plausible: -40 to 150 degC
""",
    "procedures/coolant.yaml": """\
document: marl-manual
scales:
  coolant:
    parameter: coolant-temperature
    bands: [green from 60 degC, yellow from 80 degC, red from 90 degC]
    source: page 4
    exceeded: Reduce to idle.
limits:
  engine-speed-maximum:
    parameter: engine-speed
    maximum: 7500 rpm
    source: page 4
    exceeded: Reduce power.
""",
    "procedures/instrument.yaml": """\
document: marl-manual
instrument: wren
name: Wren display
buttons: {left: L, right: R}
home: main
hold: key-hold
source: page 2
channels:
  coolant:
    parameter: coolant-temperature
    range: -20 to 150 degC
    resolution: 1 degC
    alarm-grid: 1 degC
    alarm-range: 50 to 120 degC
  speed: {parameter: engine-speed, range: 0 to 9990 rpm, resolution: 10 rpm}
  tank: {unused: yes, name: tank, shows: "- - -"}
timers:
  total: {name: total timer, counts: while the engine runs, resets: never}
extremes:
  highest-coolant: {of: coolant, resets: when you clear it}
screens:
  set-pulses:
    title: Pulses
    fields: [{timer: total, label: TOT}, {extreme: highest-coolant},
      {channel: tank, label: FUEL}, {mark: spanner symbol, about: Service is due.}]
  main:
    title: Main screen
    fields: [{channel: coolant, label: WATER}, {channel: speed, label: RPM}]
    keys: {hold left and right: set-pulses}
""",
    "procedures/alarms.yaml": """\
document: marl-manual
alarms:
  coolant-alarm:
    name: coolant alarm
    instrument: wren
    channel: coolant
    guards: coolant.red
    set-point: 88 degC
    fires: at-or-above
    shows: The field flashes.
    source: page 5
""",
    "content/welcome.md": """\
# Welcome

Keep the coolant inside {coolant.green}.
""",
    "procedures/conditions.yaml": """\
conditions:
  full-power: {short: at full throttle, engine-speed: above 7000 rpm}
""",
    "procedures/more.yaml": """\
document: marl-manual
limits:
  climb-speed:
    parameter: engine-speed
    maximum: 7300 rpm
    condition: full-power
    within: 5 min
    name: speed in the climb
    source: page 6
    exceeded: Close the throttle a little.
  cruise-speed: {parameter: engine-speed, typical: 5500 to 6000 rpm, source: page 6}
facts:
  key-hold: {minimum: 3 s, name: hold of both keys, source: page 9}
  cool-wait: {maximum: 3 min, name: wait for the coolant, source: page 9}
controls:
  stop:
    name: stop button
    label: STOP
    kind: button
    needs: {master: on}
    gestures:
      hold: {does: Stops the engine., does-not: It does not cut the panel., for: key-hold}
    recovers: Switch the master off and on again.
settings:
  pulses:
    name: pulses per revolution
    instrument: wren
    screen: set-pulses
    change: Press {wren/left}.
    allowed: ["1", "2"]
    factory: "2"
    delivered: "1"
    advised: Leave it as delivered.
    source: page 8
tasks:
  plugs:
    title: Change the plug
    hours: at 5 h, then every 50 h
    calendar: every 12 months
    tolerance: 2 h
    severe: {when: flying from sand, hours: every 25 h}
    procedure: too-hot
    source: page 20
faults:
  runs-hot:
    symptom: The engine gets too hot
    flight: land-soon
    causes:
      - {cause: The coolant is low., confirm: Look at the tank., remedy: Fill it., see: too-hot}
sequences:
  day: {title: A flying day, procedures: [too-hot]}
quotations:
  cap: {words: DO NOT OPEN WHEN HOT, source: page 7}
""",
    "procedures/too-hot.yaml": """\
procedure: too-hot
title: Engine too hot
chapter: emergency
document: marl-manual
source: page 12
when: when the coolant is in the red
begins: {engine: running}
persons: 1
tools: [torch]
steps:
  - do: Close the throttle.
    memory: yes
  - hazard:
      signal: warning
      hazard: Hot steam.
      consequence: It can burn you.
      avoid: Leave the cap closed for {cool-wait}.
  - wait-until: the coolant is inside {coolant.green}
    expect: {limit: coolant.green}
    otherwise: {see: runs-hot}
  - choose:
      - when: it stays hot
        steps: [{hold: stop, for: key-hold, note: Look out for a field.}]
      - when: it gets cooler
        steps:
          - hazard:
              signal: notice
              hazard: A cold shock.
              consequence: It can crack the cylinder.
              avoid: Open the throttle slowly.
          - do: Fly home.
  - go-to: wren/set-pulses
""",
    "procedures/card.yaml": """\
card: hot-card
title: Engine too hot
size: A6 landscape
place: on the panel
shows: [{procedure: too-hot}]
""",
    "content/engine/coolant.md": """\
---
chapter: operation
---
# Reading the coolant

The coolant is *warm* inside {coolant.green}. See {procedure/too-hot} and [welcome](../welcome.md).

| sign | meaning |
| --- | --- |
| red | above {coolant.red} |

```hazard
signal: danger
hazard: Boiling coolant.
consequence: It will burn you.
avoid: Wait {cool-wait}.
```

```quotation
DO NOT OPEN
WHEN HOT
```
""",
}


def manual_of(files: Mapping[str, str]) -> Manual:
    """The one manual of a book."""
    book, findings = load({path: text.encode() for path, text in files.items()})
    assert book is not None
    assert findings == ()
    manuals, strays = resolve(book)
    assert strays == ()
    return manuals[0]


def speaker_of(files: Mapping[str, str] = RICH) -> Speaker:
    """Says what the one manual of a book holds."""
    return Speaker(manual_of(files))


def told(manual: Manual, text: str) -> Manual:
    """The manual with every text of it replaced by one, but for the Markdown of its pages."""

    def changed(record: Any) -> Any:
        if isinstance(record, Page):
            return dataclasses.replace(with_texts(record, say), passages=record.passages)
        if isinstance(record, Quotation):
            return dataclasses.replace(record, words=text)
        return with_texts(record, say)

    def say(*_: Any) -> str:
        return text

    records = {
        kind: {id: changed(record) for id, record in by_id.items()}
        for kind, by_id in manual.records.items()
    }
    own = {
        name: records[name][getattr(manual, name).id]
        for name in ("machine", "engine", "airframe", "market", "panel")
    }
    return dataclasses.replace(manual, records=records, settings=changed(manual.settings), **own)
