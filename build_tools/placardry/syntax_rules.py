"""The rules of YAML syntax: what stops the reading of a file.

Only the constants and their manuals; `yaml_faults` tells which one a parser's complaint means.
"""

from __future__ import annotations

from placardry.finding import Family, Rule, Severity


def _error(name: str, manual: str) -> Rule:
    return Rule(name, Severity.ERROR, Family.SOURCE_TEXT, manual)


TOO_DEEP = _error(
    "too-deep",
    """Lists and mappings stand inside each other more than 50 levels deep.

    No record is that deep: a bracket was typed too often, or the file is an attack.

    Source: common practice, no source.

    Bad:
        content/notes.md
            ---
            applies: [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
UNCLOSED_QUOTE = _error(
    "unclosed-quote",
    """A quotation mark opens text and is never closed.

    Everything up to the end of the file is read as one text.

    Source: YAML 1.2.2, section 7.3 (flow scalar styles).

    Bad:
        content/notes.md
            ---
            chapter: "reference
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
UNCLOSED_BRACKET = _error(
    "unclosed-bracket",
    """A bracket or a brace is opened and not closed, or closed and not opened.

    The lines that follow are read as if they stood inside of it.

    Source: YAML 1.2.2, section 7.4 (flow collections).

    Bad:
        content/notes.md
            ---
            applies: {engine: marl-230
            chapter: reference
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
WRONG_INDENTATION = _error(
    "wrong-indentation",
    """A line is indented in a way that fits none of the lines above it.

    The indentation says what belongs to what.

    Source: YAML 1.2.2, section 6.1 (indentation spaces).

    Bad:
        content/notes.md
            ---
            applies:
                engine: marl-230
              chapter: reference
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
MISSING_COLON = _error(
    "missing-colon",
    """A line among keys has no colon with a space behind it.

    Without it the line is neither a key nor text that belongs to one.

    Source: YAML 1.2.2, section 8.2.2 (block mappings).

    Bad:
        content/notes.md
            ---
            applies: {engine: marl-230}
            chapter
            order: 10
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
TEXT_NEEDS_QUOTES = _error(
    "text-needs-quotes",
    """Text holds or begins with a character that means something to YAML.

    A colon with a space behind it, or a first character out of ``{ [ ] } & * ! | > ' " % @ ` ,``
    makes YAML read something else than text. In quotes it is text.

    Source: YAML 1.2.2, section 7.3.3 (plain style).

    Bad:
        content/notes.md
            ---
            chapter: note: reference
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
SYNTAX_ERROR = _error(
    "syntax-error",
    """YAML cannot read the file at this place.

    Nothing of the file can be used until the place is mended.

    Source: YAML 1.2.2.

    Bad:
        content/notes.md
            ---
            chapter: "refer\\qence"
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            ---
            # Notes

            Keep them short.
    """,
)
