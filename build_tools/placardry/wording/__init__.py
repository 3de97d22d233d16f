"""How a manual says things in its language: tables of words, phrases, the sentences of steps.

Every word that Placardry itself prints stands in `en.toml` and the tables beside it. To add a
language: a table and its name here, and a row in `numerals.MANNERS`.
"""

LANGUAGES = ("en", "de")
