"""Books of any size for measuring: many procedures for one machine, or a fleet of machines.

Every figure, name and maker is invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

LINES = 75

FRAME = {
    "procedures/book.yaml": """\
format: 1
book: measuring
title: A book for measuring
publisher: Fenwick Powered Flight
dated: 2026-05-01
language: en
safety: Powered flight can kill. The makers' documents hold.
""",
    "procedures/documents.yaml": """\
documents:
  marl-230-manual:
    title: Marl 230 operator's manual
    issuer: Marl Engines
    edition: "3"
    dated: 2025-02-10
    kind: maker
""",
    "procedures/machines.yaml": """\
engines:
  marl-230: {name: Marl 230, cooling: liquid, starting: electric, ignition-circuits: 2,
             pulses-per-revolution: 1}
airframes:
  sandling-frame: {name: Sandling frame, kind: wheeled, seats: 2}
machines:
  sandling-2: {name: Sandling 2, model: Sandling, airframe: sandling-frame, engine: marl-230,
               panel: sandling-panel}
markets:
  eu: {name: Europe, units: [degC, bar, L, km/h, m], rules: Ask your national authority.}
manuals:
  sandling-2-eu: {machine: sandling-2, market: eu, language: en}
""",
    "procedures/panel.yaml": """\
panel: sandling-panel
name: Sandling panel
size: [420, 210]
items:
  - {control: master, at: [300, 60]}
  - {control: ignition, at: [340, 60]}
  - {control: starter, at: [380, 60]}
""",
    "procedures/controls.yaml": """\
controls:
  master:
    name: master switch
    label: MASTER
    kind: switch
    rests: off
    positions:
      off: {label: "OFF", does: Cuts the starter., does-not: It does not stop the engine.}
      on: {label: "ON", does: Feeds the starter.}
  ignition:
    name: ignition switch
    kind: switch
    rests: off
    positions:
      off: {label: STOP, does: Stops the engine., sets: {engine: stopped}}
      on: {label: RUN, does: Lets the engine run.}
  starter:
    name: start button
    kind: button
    needs: {master: on, ignition: on}
    gestures:
      hold: {does: Turns the engine until it fires., sets: {engine: running}}
""",
    "procedures/figures.yaml": """\
document: marl-230-manual
parameters:
  coolant-temperature:
    name: coolant temperature
    short: Coolant
    units: {degC: 1, degF: 1}
    plausible: -40 to 150 degC
scales:
  coolant:
    parameter: coolant-temperature
    bands: [green from 63 degC, yellow from 82 degC, red from 88 degC]
    source: section 4.2, page 31
    exceeded: Reduce to idle. Land if it is not below {coolant.yellow} within {cooling-wait}.
facts:
  choke-wait: {minimum: 10 s, name: wait before the start, source: page 12}
  cooling-wait: {maximum: 3 min, name: wait for the coolant, source: page 12}
""",
}

HEAD = """\
procedure: {name}
title: Start and stop, number {number}
chapter: operation
when: before the first flight of the day
purpose: It shows that the engine starts, warms and stops.
begins: {{engine: stopped, master: off, ignition: off}}
ends: {{engine: stopped}}
persons: 1
tools: [torque wrench, feeler gauge]
steps:
  - hazard:
      signal: warning
      hazard: Turning propeller.
      consequence: It can kill or maim.
      avoid: Secure the machine. Keep everyone clear.
"""

ROUND = """\
  - set: {master: on}
  - set: {ignition: on}
  - wait: choke-wait
  - hold: starter
    expect: {text: the engine fires and runs}
    otherwise: {text: Let the starter cool and try again.}
  - wait-until: the coolant is inside {coolant.green}
    note: In the cold this takes longer.
  - look: the lines between tank and carburettor
    expect: {text: no bubbles and no drops}
  - set: {ignition: off}
    expect: {text: the engine stops}
  - set: {master: off}
    note: The engine does not need it.
  - do: Close the fuel tap.
    memory: yes
"""


def procedure(number: int) -> str:
    """A procedure file of exactly `LINES` lines."""
    text = HEAD.format(name=f"start-and-stop-{number}", number=number)
    rounds, rest = divmod(LINES - text.count("\n"), ROUND.count("\n"))
    return text + ROUND * rounds + "  - do: Wipe the screen.\n" * rest


def book(procedures: int) -> dict[str, bytes]:
    """The files of a valid book, by path."""
    files = {path: text.encode() for path, text in FRAME.items()}
    for number in range(1, procedures + 1):
        folder = f"procedures/operation/{number // 100:02}"
        files[f"{folder}/start-and-stop-{number}.yaml"] = procedure(number).encode()
    return files


ENGINE = """\
  {engine}: {{name: Marl {name}, cooling: liquid, starting: electric, ignition-circuits: 2,
    pulses-per-revolution: 1}}
"""
MACHINE = """\
  {machine}: {{name: Sandling {name}, model: Sandling, airframe: sandling-frame,
    engine: {engine}, panel: sandling-panel}}
"""
PARAMETER = """\
  pressure-{number}: {{name: pressure {name}, short: P {name},
    units: {{bar: "0.1"}}, plausible: 0 to 90 bar}}
"""
LIMIT = """\
  {engine}-limit-{number}:
    parameter: pressure-{parameter}
    name: limit {name}
    maximum: {bar} bar
    condition: speed-{condition}
    source: section {number}, page {number}
    exceeded: Reduce to idle. Land if it is not below {{{engine}-limit-{number}}} at once.
"""
CONDITION = "  speed-{number}: {{short: in band {name}, engine-speed: {low} to {high} rpm}}\n"
# So many machines share an engine, and so many limits of an engine a parameter.
OF_AN_ENGINE = 5
OF_A_PARAMETER = 10


def spelt(number: int) -> str:
    """A number as letters, for a name that holds no figure: `A`, `B` … `Z`, `BA` and so on."""
    rest, last = divmod(number, 26)
    return (spelt(rest) if rest else "") + chr(ord("A") + last)


def fleet(procedures: int, limits: int, machines: int) -> dict[str, bytes]:
    """The files of a valid book of many machines, by path.

    Five machines have one engine; each engine has its equal share of procedures and limits.
    """
    engines = [f"e{number}" for number in range(1, machines // OF_AN_ENGINE + 1)]
    each = limits // len(engines)
    files = {path: text.encode() for path, text in FRAME.items()}
    files["procedures/machines.yaml"] = _machines(engines).encode()
    files["procedures/pressures.yaml"] = _pressures(each // OF_A_PARAMETER).encode()
    for at, engine in enumerate(engines):
        rows = [_limit(engine, number) for number in range(1, each + 1)]
        files[f"procedures/limits/{engine}.yaml"] = (
            f"applies: {{engine: {engine}}}\ndocument: marl-230-manual\nlimits:\n{''.join(rows)}"
        ).encode()
        for number in range(at + 1, procedures + 1, len(engines)):
            path = f"procedures/operation/{engine}/start-and-stop-{number}.yaml"
            text = f"applies: {{engine: {engine}}}\n{procedure(number)}"
            files[path] = text.replace("{coolant.green}", f"{{{engine}-limit-1}}").encode()
    return files


def _machines(engines: list[str]) -> str:
    pairs = [(f"{one}-m{number}", one) for one in engines for number in range(OF_AN_ENGINE)]
    machines = [
        MACHINE.format(machine=machine, engine=engine, name=spelt(at))
        for at, (machine, engine) in enumerate(pairs)
    ]
    frame = "airframes: {sandling-frame: {name: Sandling frame, kind: wheeled, seats: 2}}\n"
    market = "markets: {eu: {name: Europe, units: [degC, bar], rules: Ask your authority.}}\n"
    named = (ENGINE.format(engine=one, name=spelt(at)) for at, one in enumerate(engines))
    return (
        f"{frame}{market}engines:\n{''.join(named)}"
        f"machines:\n{''.join(machines)}manuals:\n"
        + "".join(f"  {m}-eu: {{machine: {m}, market: eu, language: en}}\n" for m, _ in pairs)
    )


def _pressures(parameters: int) -> str:
    speed = "  engine-speed: {name: engine speed, short: Speed, units: {rpm: 10},\n"
    spans = [
        CONDITION.format(
            number=number, name=spelt(number), low=1000 + 500 * number, high=1400 + 500 * number
        )
        for number in range(OF_A_PARAMETER)
    ]
    named = (PARAMETER.format(number=number, name=spelt(number)) for number in range(parameters))
    return (
        f"parameters:\n{speed}    plausible: 0 to 9000 rpm}}\n{''.join(named)}"
        f"conditions:\n{''.join(spans)}"
    )


def _limit(engine: str, number: int) -> str:
    parameter, condition = divmod(number - 1, OF_A_PARAMETER)
    bar, name = 20 + condition, spelt(number)
    return LIMIT.format(
        engine=engine, number=number, name=name, parameter=parameter, condition=condition, bar=bar
    )


def respelt(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The fleet with one limit in another spelling, which is no change of any figure."""
    path = "procedures/limits/e1.yaml"
    return {**files, path: files[path].replace(b"maximum: 25 bar", b"maximum: 25.0 bar", 1)}


def in_two_units(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """The fleet with every pressure in one more unit, which changes how every limit is shown."""
    path = "procedures/pressures.yaml"
    return {**files, path: files[path].replace(b'bar: "0.1"', b'bar: "0.1", psi: 1')}


def write_book(root: Path, files: Mapping[str, bytes]) -> None:
    """Writes the files of a book below `root`."""
    for path, data in files.items():
        target = root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(data)
