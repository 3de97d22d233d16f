"""A small sound book on which the examples of the rules are laid.

Every file that an example shows replaces the file of that path, or is added.
"""

from __future__ import annotations

from collections.abc import Mapping

SPECIMEN: Mapping[str, str] = {
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
  tern: {name: Tern, model: Tern, airframe: frame, engine: marl, panel: tern-panel}
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
source: page 2
channels:
  coolant:
    parameter: coolant-temperature
    range: -20 to 150 degC
    resolution: 1 degC
    alarm-grid: 1 degC
    alarm-range: 50 to 120 degC
  speed: {parameter: engine-speed, range: 0 to 9990 rpm, resolution: 10 rpm}
screens:
  main:
    title: Main screen
    fields: [{channel: coolant, label: WATER}, {channel: speed, label: RPM}]
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
    "procedures/leave.yaml": """\
procedure: leave
title: Leave the machine
chapter: operation
when: after each flight
steps:
  - set: {master: off}
""",
    "procedures/fire.yaml": """\
procedure: fire
title: Fire
chapter: emergency
when: when there is fire or smoke
steps:
  - do: Land and leave the machine.
""",
    "procedures/tasks.yaml": """\
document: marl-manual
tasks:
  coolant-level:
    title: Check the coolant
    about: The header tank is full up to its mark.
    each: flying-day
    source: page 8
""",
    "content/welcome.md": """\
# Welcome

Keep the coolant inside {coolant.green}.
""",
}
