"""A book to start from: the specimen with its schemas, so that an editor helps at once."""

from __future__ import annotations

from collections.abc import Mapping

from placardry.rules.specimen import SPECIMEN
from placardry.schema import FOLDER, schemas

GITIGNORE = b"# Made here, by placardry and for it\n/.venv/\n/review/\n/site/\n"


def starter() -> Mapping[str, bytes]:
    """The files of a small sound book, each naming the schema that its editor completes by."""
    files = {path: (_schema_line(path, text) + text).encode() for path, text in SPECIMEN.items()}
    editor = {f"{FOLDER}/{name}": data for name, data in schemas().items()}
    return {**files, **editor, ".gitignore": GITIGNORE}


def _schema_line(path: str, text: str) -> str:
    if not path.endswith(".yaml"):
        return ""
    own = {f"{name.removesuffix('.json')}:" for name in schemas()}
    keys = [line.split(" ")[0] for line in text.splitlines() if line and not line.startswith(" ")]
    kind = next((key.removesuffix(":") for key in keys if key in own and key != "book:"), None)
    if path == "procedures/book.yaml":
        kind = "book"
    return f"# yaml-language-server: $schema=schema/{kind or 'collections'}.json\n"
