"""Wrong edits of figures and of what belongs to them: value, unit, condition, source, interval."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from placardry import nodes
from tests.mutation.demo import Demo, Edit, File, Keys

FIGURES = ("maximum", "minimum", "range", "avoid", "nominal", "typical", "drop", "rise")
STATED_IN = ("limits", "facts")
NUMBER = re.compile(r"(?<![\w.,:/-])\d+(?:\.\d+)?(?![\w.:/])")
UNITS = {
    **{"degC": "degF", "degF": "degC", "kg": "lb", "L": "gal", "mL": "L", "m": "ft", "mm": "cm"},
    **{"cm": "mm", "km/h": "mph", "bar": "psi", "s": "min", "min": "s", "h": "min", "V": "mV"},
    **{"days": "h", "A": "mA", "Ah": "mAh", "months": "days"},
}
UNIT = re.compile(r"(?<=\d )(" + "|".join(sorted(map(re.escape, UNITS), key=len)[::-1]) + r")\b")


def scalars(demo: Demo, *names: str) -> Iterator[tuple[File, Keys, nodes.Scalar]]:
    """The scalars under these keys, wherever they stand."""
    for file, keys, mapping in demo.mappings():
        for key, value in mapping.entries:
            if key.text in names and isinstance(value, nodes.Scalar):
                yield file, (*keys, key.text), value


def stated(demo: Demo) -> Iterator[tuple[File, nodes.Scalar]]:
    """What limits and facts state."""
    for file, keys, value in scalars(demo, *FIGURES):
        if keys[0] in STATED_IN:
            yield file, value


def _numbers(file: File, value: nodes.Scalar) -> Iterator[tuple[int, int, str]]:
    start, _ = file.cut(value.span)
    for match in NUMBER.finditer(file.written(value.span)):
        yield start + match.start(), start + match.end(), match[0]


def _by_a_step(number: str, way: int) -> str:
    """A number with its last digit one higher or lower: what a finger does on a keyboard."""
    step = Decimal(1).scaleb(Decimal(number).as_tuple().exponent)  # type: ignore[arg-type]
    return str(Decimal(number) + way * step)


def _by_half(number: str, way: int) -> str:
    """A number half as large again, or a third smaller, with as many decimals as it had."""
    digits = Decimal(number).as_tuple().exponent
    moved = Decimal(number) * (Decimal("1.5") if way > 0 else Decimal(2) / 3)
    return str(moved.quantize(Decimal(1).scaleb(digits)))  # type: ignore[arg-type]


def value_a_little(demo: Demo) -> Iterator[Edit]:
    for file, value in stated(demo):
        for start, end, number in _numbers(file, value):
            for way in (1, -1):
                yield Edit("value a little", file.path, start, end, _by_a_step(number, way))


def value_a_lot(demo: Demo) -> Iterator[Edit]:
    for file, value in stated(demo):
        for start, end, number in _numbers(file, value):
            for way in (1, -1):
                if _by_half(number, way) != number:
                    yield Edit("value a lot", file.path, start, end, _by_half(number, way))


def unit_swapped(demo: Demo) -> Iterator[Edit]:
    for file, value in stated(demo):
        written = file.written(value.span)
        found = list(UNIT.finditer(written))
        if found:
            start, end = file.cut(value.span)
            text = UNIT.sub(lambda match: UNITS[match[0]], written)
            yield Edit("unit swapped", file.path, start, end, text)


def cut_moved(demo: Demo) -> Iterator[Edit]:
    for file, _, mapping in demo.mappings():
        bands = mapping.get("bands")
        for band in bands.items if isinstance(bands, nodes.Sequence) else ():
            assert isinstance(band, nodes.Scalar)
            for start, end, number in _numbers(file, band):
                for way in (1, -1):
                    yield Edit("cut moved a little", file.path, start, end, _by_a_step(number, way))
                    yield Edit("cut moved a lot", file.path, start, end, _by_half(number, way))


def alarm_moved(demo: Demo) -> Iterator[Edit]:
    for file, _, value in scalars(demo, "set-point", "clears"):
        for start, end, number in _numbers(file, value):
            for way in (1, -1):
                yield Edit("alarm moved a little", file.path, start, end, _by_a_step(number, way))
                yield Edit("alarm moved a lot", file.path, start, end, _by_half(number, way))


def interval_changed(demo: Demo) -> Iterator[Edit]:
    for file, keys, value in scalars(demo, "hours", "calendar", "tolerance"):
        if keys[0] == "tasks":
            for start, end, number in _numbers(file, value):
                for text in {_by_a_step(number, 1), _by_half(number, 1), _by_half(number, -1)}:
                    if text != number:
                        yield Edit("interval changed", file.path, start, end, text)


def condition_dropped(demo: Demo) -> Iterator[Edit]:
    for file, _, mapping in demo.mappings():
        if "condition" in mapping:
            yield Edit("condition dropped", file.path, *file.entry(mapping, "condition"), "")


def condition_moved(demo: Demo) -> Iterator[Edit]:
    known = sorted(demo.book.records["condition"])
    for file, _, value in scalars(demo, "condition"):
        at = known.index(value.text) if value.text in known else 0
        other = known[(at + 1) % len(known)]
        yield Edit("condition moved", file.path, *file.cut(value.span), other)


def figure_deleted(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings():
        for name in FIGURES:
            if name in mapping and keys and keys[0] in STATED_IN:
                yield Edit("figure deleted", file.path, *file.entry(mapping, name), "")


def source_deleted(demo: Demo) -> Iterator[Edit]:
    for file, keys, mapping in demo.mappings():
        if "source" in mapping and keys and keys[0] in (*STATED_IN, "scales", "alarms"):
            yield Edit("source deleted", file.path, *file.entry(mapping, "source"), "")
