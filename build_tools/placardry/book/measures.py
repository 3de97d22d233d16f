"""Words of a record that must spell a unit or a step, checked as they are read."""

from __future__ import annotations

import re
from typing import ClassVar

from placardry.errors import Malformed
from placardry.notation import UNIT_PATTERN
from placardry.units import unit


class UnitName(str):
    """The canonical symbol of a unit, however it was spelt."""

    __slots__ = ()
    SCHEMA_PATTERN: ClassVar[str] = f"^{UNIT_PATTERN}$"
    EXAMPLES: ClassVar[tuple[str, ...]] = ("degC", "bar", "US gal")

    @classmethod
    def parse(cls, text: str) -> UnitName:
        """The unit that the text spells.

        Raises:
            Malformed: of rule `unknown-unit`.
        """
        return cls(unit(text).symbol)


class Step(str):
    """The step in which a figure is shown: a positive decimal, as written."""

    __slots__ = ()
    SCHEMA_PATTERN: ClassVar[str] = r"^(?!0+(?:\.0+)?$)[0-9]{1,6}(?:\.[0-9]{1,6})?$"
    EXAMPLES: ClassVar[tuple[str, ...]] = ("1", "5", "0.05")

    @classmethod
    def parse(cls, text: str) -> Step:
        """The step that the text states.

        Raises:
            Malformed: the text is no decimal above zero.
        """
        if not re.fullmatch(cls.SCHEMA_PATTERN, text):
            raise Malformed(
                f"`{text}` is not a display step",
                "write the step as a decimal above zero, such as `1`, `5` or `0.05`",
            )
        return cls(text)
