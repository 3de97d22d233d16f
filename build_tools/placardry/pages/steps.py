"""The steps of a procedure as numbered lists, with safety messages set before their steps."""

from __future__ import annotations

from collections.abc import Iterable

from placardry.book.procedures import Hazard
from placardry.pages.inline import Inline, Markdown
from placardry.wording.steps import Instruction

INDENT = "    "
# The safety alert symbol belongs to messages about injury alone.
# Source: ANSI Z535.4 4.14 (NOTICE is not about injury and bears no alert symbol).
ALERT = "\u26a0 "


def hazard(write: Inline, message: Hazard, indent: str = "") -> Markdown:
    """A safety message as a block of its own: signal word, hazard, consequence, avoidance."""
    sign = "" if message.signal == "notice" else ALERT
    title = f'{indent}!!! {message.signal} "{sign}{write.word(f"signal.{message.signal}")}"'
    said = f"**{write.start(message.hazard)}** {write.start(message.consequence)}"
    inside = indent + INDENT
    return Markdown(f"{title}\n{inside}{said}\n\n{inside}{write.start(message.avoid)}")


def steps(write: Inline, instructions: Iterable[Instruction], indent: str = "") -> Markdown:
    """The steps as one numbered list; a safety message stands between its items."""
    blocks: list[str] = []
    number = 1
    for instruction in instructions:
        if instruction.hazard is not None:
            blocks.append(hazard(write, instruction.hazard, indent))
            continue
        blocks += _item(write, instruction, number, indent)
        number += 1
    return Markdown("\n\n".join(blocks))


def _item(write: Inline, step: Instruction, number: int, indent: str) -> list[str]:
    """The paragraphs and lists of one step."""
    inside = indent + INDENT
    action = write.phrase(step.action) or write.word("step.choose")
    if step.memory:
        action = Markdown(f"**{write.word('step.memory')}:** {action}")
    blocks = [f"{indent}{number}. {action}"]
    for name in ("note", "expect", "otherwise"):
        said = write.phrase(getattr(step, name))
        if said:
            blocks.append(f"{inside}{said}\n{inside}{{: .{name} }}")
    for heading, branch in step.cases:
        if heading:
            blocks.append(f"{inside}- {write.phrase(heading)}")
        blocks.append(steps(write, branch, inside + (INDENT if heading else "")))
    return blocks
