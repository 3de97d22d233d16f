"""Alarms that guard no limit: said once, with no word on a side that does not exist."""

from __future__ import annotations

import pytest

from tests.books import judged


@pytest.mark.parametrize("figure", ["typical: 70 to 78 degC", "rise: at most 20 degC"])
def test_an_alarm_before_no_limit_is_told_of_once(figure: str) -> None:
    prepared = judged(
        limits=f"""
            document: marl-manual
            limits:
              usual:
                parameter: coolant-temperature
                {figure}
                source: page 9
                exceeded: Look for the reason.
            """,
        alarms="""
            document: marl-manual
            alarms:
              coolant-alarm: {name: coolant alarm, instrument: wren, channel: coolant,
                              guards: usual, set-point: 88 degC, fires: at-or-above,
                              shows: The field flashes., source: page 5}
            """,
    )
    assert [one.rule.name for one in prepared.findings] == ["alarm-guards-nothing"]
