"""Conditions as boxes: the states they allow, times the spans they allow.

A limit under no condition holds in the whole space. Two limits meet where their boxes overlap;
one is narrower than another where its box lies inside the other's.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field

from placardry.book.conditions import Condition
from placardry.finding import light
from placardry.interval import Interval


@light
class Box:
    """What must hold at once. A name that is absent is free.

    Attributes:
        states: by control or `engine`, the positions allowed
        spans: by parameter, the values allowed
    """

    states: Mapping[str, frozenset[str]] = field(default_factory=dict)
    spans: Mapping[str, Interval] = field(default_factory=dict)

    def meet(self, other: Box) -> Box | None:
        """The part that both share; None where nothing can be in both."""
        states = dict(self.states)
        for name, allowed in other.states.items():
            both = states.get(name, allowed) & allowed
            if not both:
                return None
            states[name] = both
        spans = dict(self.spans)
        for name, span in other.spans.items():
            if name in spans:
                shared = spans[name].intersect(span)
                if shared is None:
                    return None
                span = shared
            spans[name] = span
        return Box(states, spans)

    def inside(self, other: Box) -> bool:
        """Whether everything in this box is in the other one too."""
        for name, allowed in other.states.items():
            if not self.states.get(name, _ANYTHING) <= allowed:
                return False
        for name, span in other.spans.items():
            if name not in self.spans or not self.spans[name].within(span):
                return False
        return True


_ANYTHING = frozenset(["any state at all"])


def box_of(conditions: Iterable[Condition]) -> Box | None:
    """The box in which all the conditions hold; None where they exclude each other."""
    box: Box | None = Box()
    for condition in conditions:
        states = {
            name: frozenset(item.states) for name, item in condition.box.items() if not item.span
        }
        spans = {name: item.span for name, item in condition.box.items() if item.span}
        box = box.meet(Box(states, spans)) if box is not None else None
    return box
