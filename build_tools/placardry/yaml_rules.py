"""The rules of YAML text that can be read: what YAML would lose in silence.

Only the constants and their manuals; `yaml_reader` reports them. All are errors:
each stands for text that the author wrote and no reader of the manual would see.
"""

from __future__ import annotations

from placardry.finding import Family, Rule, Severity


def _error(name: str, manual: str) -> Rule:
    return Rule(name, Severity.ERROR, Family.SOURCE_TEXT, manual)


DUPLICATE_KEY = _error(
    "duplicate-key",
    """A mapping says the same key twice.

    YAML readers keep one of the two values in silence; which one is chance. In a table of limits
    the other figure would be gone.

    Source: YAML 1.2.2, section 3.2.1.1 (keys of a mapping are unique).

    Bad:
        content/notes.md
            ---
            chapter: reference
            chapter: operation
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
TEXT_CUT_BY_HASH = _error(
    "text-cut-by-hash",
    """Text is cut where a `#` begins a comment that looks like more of the text.

    A `#` after a space begins a comment, so `see item #3` says only `see item`. A comment of your
    own is left alone if a space follows its `#` and words follow the space.

    Source: YAML 1.2.2, section 6.6 (comments).

    Bad:
        content/notes.md
            ---
            chapter: reference #3
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference  # for the workshop
            ---
            # Notes

            Keep them short.
    """,
)
TEXT_SPLIT_BY_COMMA = _error(
    "text-split-by-comma",
    """A comma splits text that stands without quotes inside `{…}`.

    Inside braces a comma ends a value, so `{avoid: stop, then look}` says `stop`, and
    `then look` becomes a key with nothing behind it.

    Source: YAML 1.2.2, section 7.3.3 (plain style inside flow collections).

    Bad:
        content/notes.md
            # Notes

            ```hazard
            {signal: warning, hazard: heat, consequence: It burns., avoid: Stop, then wait.}
            ```
    Good:
        content/notes.md
            # Notes

            ```hazard
            {signal: warning, hazard: heat, consequence: It burns., avoid: "Stop, then wait."}
            ```
    """,
)
UNQUOTED_REFERENCE = _error(
    "unquoted-reference",
    """Text begins with a reference and stands without quotes.

    A value that begins with a brace is a mapping for YAML. In quotes it is text.

    Source: YAML 1.2.2, section 7.3.3 (plain scalars do not begin with an indicator).

    Bad:
        content/notes.md
            # Notes

            ```hazard
            signal: warning
            hazard: hot parts
            consequence: They burn.
            avoid: {cooling-wait} must pass first.
            ```
    Good:
        content/notes.md
            # Notes

            ```hazard
            signal: warning
            hazard: hot parts
            consequence: They burn.
            avoid: Let them cool first.
            ```
    """,
)
ALIAS = _error(
    "alias",
    """Text uses an anchor (`&name`) or an alias (`*name`).

    They repeat a passage without saying what is shared, and can make a small file explode. Give
    the figure one home and refer to it by its id.

    Source: YAML 1.2.2, section 7.1 (alias nodes).

    Bad:
        content/notes.md
            ---
            chapter: &where reference
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
TAG = _error(
    "tag",
    """A value begins with `!`, which YAML reads as a tag and not as text.

    Tags ask a program to do something with a value, and the word behind the `!` is lost from the
    text.

    Source: YAML 1.2.2, section 6.8.2 (tags).

    Bad:
        content/notes.md
            ---
            chapter: !important reference
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
MERGE_KEY = _error(
    "merge-key",
    """A mapping takes in another one with `<<`.

    The keys that it brings stand nowhere on the lines that a reviewer reads.

    Source: YAML merge key language-independent type (2005), a draft that YAML 1.2 dropped.

    Bad:
        content/notes.md
            ---
            chapter: reference
            <<: {order: 10}
            ---
            # Notes

            Keep them short.
    Good:
        content/notes.md
            ---
            chapter: reference
            order: 10
            ---
            # Notes

            Keep them short.
    """,
)
KEY_NOT_TEXT = _error(
    "key-not-text",
    """A key is a list or a mapping, or is missing before its colon.

    Keys are names. A brace at the beginning of text that should be plain makes such a key.

    Source: common practice, no source.

    Bad:
        content/notes.md
            ---
            [reference, operation]: chapter
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
EMPTY_VALUE = _error(
    "empty-value",
    """A key or a list item has nothing behind it.

    Nobody can tell whether something is still to come or is meant to be left out.

    Source: common practice, no source.

    Bad:
        content/notes.md
            ---
            chapter:
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
DASH_WITHOUT_SPACE = _error(
    "dash-without-space",
    """List items have no space behind their dashes.

    YAML then reads the lines as one text and not as a list.

    Source: YAML 1.2.2, section 8.2.1 (block sequences).

    Bad:
        content/notes.md
            ---
            chapter:
              -reference
              -operation
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
SECOND_DOCUMENT = _error(
    "second-document",
    """A file holds a second YAML document after a line of `---`.

    Everything from there on would be ignored.

    Source: YAML 1.2.2, section 9.2 (streams).

    Bad:
        procedures/extra.yaml
            facts: {}
            ---
            limits: {}
    Good:
        procedures/extra.yaml
            facts: {}
            limits: {}
    """,
)
EMPTY_FILE = _error(
    "empty-file",
    """A YAML file says nothing.

    It was saved too early, or its content was lost.

    Source: common practice, no source.

    Bad:
        content/notes.md
            ---
            # nothing but a comment
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
NOT_A_MAPPING = _error(
    "not-a-mapping",
    """A YAML file does not consist of keys and their values.

    Every file begins with keys such as `limits:` that say what it holds.

    Source: common practice, no source.

    Bad:
        content/notes.md
            ---
            - reference
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
