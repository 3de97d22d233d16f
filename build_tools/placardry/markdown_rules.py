"""The rules of author Markdown: the fixed set, and what is outside of it.

Only the constants and their manuals; `markdown_reader` reports them.
"""

from __future__ import annotations

from placardry.finding import Family, Rule, Severity


def _error(name: str, manual: str) -> Rule:
    return Rule(name, Severity.ERROR, Family.SOURCE_TEXT, manual)


HTML_IN_MARKDOWN = _error(
    "html-in-markdown",
    """Prose holds an HTML tag or an HTML entity.

    The printed manual and the cards could not show it, and a tag could run a script.

    Source: common practice, no source.

    Bad:
        content/notes.md
            # Notes

            Stop the <b>engine</b>.
    Good:
        content/notes.md
            # Notes

            Stop the **engine**.
    """,
)
FOREIGN_MARKUP = _error(
    "foreign-markup",
    """Prose holds markup that only some Markdown programs or themes know.

    Author Markdown is headings, lists, tables, emphasis, code, links, pictures and the fenced
    blocks `applies`, `hazard` and `quotation`. Anything else would be printed as it stands.

    Source: common practice, no source.

    Bad:
        content/notes.md
            # Notes

            !!! warning
    Good:
        content/notes.md
            # Notes

            - Stop the engine.
    """,
)
MALFORMED_BLOCK = _error(
    "malformed-block",
    """A fenced block is of no known kind, is not closed, or lacks what its kind needs.

    The kinds are `applies` with a condition behind it, `hazard` and `quotation`. A block inside
    another one has a shorter fence.

    Source: common practice, no source.

    Bad:
        content/notes.md
            # Notes

            Read them twice.

            ```warning
            Keep clear.
            ```
    Good:
        content/notes.md
            # Notes

            ```quotation
            Keep clear.
            ```
    """,
)
UNSAFE_LINK = _error(
    "unsafe-link",
    """A link leads to something that is no page, no web address and no mail address.

    Such an address could run a script, or open a file of the reader's own computer.

    Source: RFC 3986, section 7 (security considerations).

    Bad:
        content/notes.md
            # Notes

            See [the form](javascript:open).
    Good:
        content/notes.md
            # Notes

            See the form.
    """,
)
PAGE_WITHOUT_TITLE = _error(
    "page-without-title",
    """A page does not begin with one heading of the first level.

    The heading is the page's title in the site, in the printed manual and in both contents.

    Source: common practice, no source.

    Bad:
        content/notes.md
            Stop the engine.
    Good:
        content/notes.md
            # Notes

            Stop the engine.
    """,
)
SECOND_TITLE = _error(
    "second-title",
    """A page has a second heading of the first level.

    Each page has one title; the headings below it begin with two or more `#`.

    Source: WCAG 2.2, technique G141 (headings give a page its structure).

    Bad:
        content/notes.md
            # Notes

            # More notes
    Good:
        content/notes.md
            # Notes

            ## More notes
    """,
)
