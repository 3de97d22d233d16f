"""Single wrong edits to the demo's procedures, which only running them finds."""

from __future__ import annotations

import pytest

from placardry.book.procedures import Procedure
from placardry.loader import load
from placardry.prepared import Prepared
from placardry.resolve import resolve
from placardry.run_table import table
from placardry.runs import What, faults
from placardry.stated import figures

SET_UP, OPERATION = "procedures/set-up/", "procedures/operation/"
ON, OFF = "  - set: {master: on}\n", "  - set: {master: off}\n"
TAP = "  - set: {fuel-tap: "
BEGINS = "begins: {engine: "

EDITS = [
    (SET_UP + "clear-records-kestrel", ON, OFF, What.NO_POWER),
    (SET_UP + "set-units-kestrel", OFF, "", What.ENDS),
    (SET_UP + "set-units-linnet", "linnet-1/set-units", "linnet-1/set-pulses", What.WRONG_SCREEN),
    (SET_UP + "set-pulses-kestrel", "adjust: pulses", "adjust: contrast", What.WRONG_SCREEN),
    (SET_UP + "set-backlight-kestrel", ": kestrel-3/right", ": kestrel-3/left", What.WRONG_SCREEN),
    (SET_UP + "set-alarms-kestrel", "{exhaust-alarm}", "{coolant-alarm}", What.WRONG_SCREEN),
    (OPERATION + "start-sandling", "{ignition: on}\n  -", "{ignition: off}\n  -", What.NO_EFFECT),
    (OPERATION + "start-sandling", TAP + "on}", TAP + "off}", What.NO_EFFECT),
    (OPERATION + "start-sandling", "battery-rest.green", "battery.green", What.OUTSIDE),
    (OPERATION + "start-teasel", "plug-cap: in", "plug-cap: out", What.NO_EFFECT),
    (OPERATION + "daily-check-teasel", "plug-cap: in,", "plug-cap: out,", What.FOLLOWS),
    (OPERATION + "shutdown-sandling", TAP + "off}\n", "  - do: Look at it.\n", What.ENDS),
    (OPERATION + "ignition-check", BEGINS + "running", BEGINS + "stopped", What.OUT_OF_REACH),
    (OPERATION + "full-power-check", "limit: egt-full-power", "limit: egt-cruise", What.OUTSIDE),
    (OPERATION + "full-power-check", "limit: static-speed", "limit: idle-speed", What.OUTSIDE),
    (OPERATION + "restart-teasel", BEGINS + "stopped", BEGINS + "running", What.FOLLOWS),
    (OPERATION + "use-light", "button: double}", "button: single}", What.OTHER_POSITION),
    ("procedures/controls/sandling", "off: double, st", "off: single, st", What.OTHER_POSITION),
    ("procedures/sequences", "      - restart\n", "", What.FOLLOWS),
]  # fmt: skip


@pytest.mark.parametrize(("name", "old", "new", "what"), EDITS)
def test_a_wrong_edit_is_found_by_running(
    demo: Prepared, name: str, old: str, new: str, what: What
) -> None:
    path = f"{name}.yaml"
    text = demo.files[path].decode()
    assert text.count(old) == 1, "the edit must fit the demo"
    book, _ = load({**demo.files, path: text.replace(old, new).encode()})
    assert book is not None
    found = {one.what for manual in resolve(book)[0] for one in faults(manual, figures(manual))}
    assert what in found


def test_every_run_can_be_told(demo: Prepared) -> None:
    for manual in demo.manuals[:3]:  # the fourth is one of them for another market
        for name in manual.of(Procedure):
            lines = table(manual, name).splitlines()
            assert len(lines) > 4, name
            assert max(map(len, lines)) <= 80, name
