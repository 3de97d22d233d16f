from __future__ import annotations

import csv
import io
import json

from placardry.data import register, register_csv, register_json
from placardry.wording.phrases import Speaker
from tests.books import files, manual

US = files()["procedures/machines.yaml"].decode().replace("[degC, ", "[degF, ")


def test_the_register_has_the_shape_of_its_contract() -> None:
    machine = manual(machines=US)
    entries = register(Speaker(machine), {"coolant.red": ["limits.html"]})
    made = json.loads(register_json(machine.settings, None, entries))
    assert made["schema"] == 1
    assert made["book"] == "specimen"
    assert made["edition"] is None
    red = next(one for one in made["figures"] if (one["id"], one["part"]) == ("coolant", "red"))
    assert red == {
        "id": "coolant",
        "part": "red",
        "manual": "tern-eu",
        "machine": "tern",
        "name": "coolant temperature",
        "type": "limit",
        "kind": "maximum",
        "parameter": "coolant-temperature",
        "condition": None,
        "written": "90 degC",
        "exact": {"high": "90/1", "unit": "degC"},
        "published": {"degF": {"high": "194"}, "degC": {"high": "90"}},
        "shown": {"degF": "194\u00a0°F", "degC": "90\u00a0°C"},
        "margin": {"degF": "0", "degC": "0"},
        "guards": None,
        "exceeded": "Reduce to idle.",
        "source": {"document": "marl-manual", "edition": "1", "place": "page 4"},
        "file": "procedures/coolant.yaml",
        "line": 5,
        "used_in": ["limits.html"],
    }
    order = [(one["manual"], one["id"], one["part"] or "") for one in made["figures"]]
    assert order == sorted(order)


def test_the_table_holds_the_same_figures() -> None:
    entries = register(Speaker(manual()), {})
    rows = list(csv.DictReader(io.StringIO(register_csv(entries).decode())))
    assert [(row["id"], row["part"]) for row in rows] == [
        (one["id"], one["part"] or "") for one in entries
    ]
