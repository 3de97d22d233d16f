"""Manifests against the files that they list."""

from __future__ import annotations

import hashlib
import json
import posixpath
from collections.abc import Iterator, Mapping

from placardry.audit.told import CHANGED, MALFORMED, MISSING, UNLISTED, Told, tell
from placardry.finding import Span

NAME = "manifest.json"
_MEND = "build the manual again"


def listed(files: Mapping[str, bytes]) -> Iterator[Told]:
    """What is wrong with the files by the manifests among them; nothing where there is none."""
    seen: set[str] = set()
    for path in sorted(files, key=lambda one: (-one.count("/"), one)):
        if posixpath.basename(path) != NAME or path.count("/") > 1:
            continue
        try:
            rows = {row["path"]: row for row in json.loads(files[path])["files"]}
            sums = {name: row["sha256"] for name, row in rows.items()}
        except (KeyError, TypeError, ValueError) as fault:
            message = f"the manifest cannot be read: {fault}"
            yield tell(MALFORMED, Span(path), message, _MEND)
            continue
        for one in _by(path, sums, files):
            if one.finding.span.path not in seen:
                seen.add(one.finding.span.path)
                yield one


def _by(path: str, sums: Mapping[str, str], files: Mapping[str, bytes]) -> Iterator[Told]:
    start = path.removesuffix(NAME)
    here = {one.removeprefix(start) for one in files if one.startswith(start)} - {NAME}
    for name in sorted(sums.keys() - here):
        message = f"`{path}` lists this file, which is not there"
        yield tell(MISSING, Span(start + name), message, _MEND)
    for name in sorted(here - sums.keys()):
        message = f"`{path}` does not list this file"
        yield tell(UNLISTED, Span(start + name), message, "delete the file, or build again")
    for name in sorted(here & sums.keys()):
        digest = hashlib.sha256(files[start + name]).hexdigest()
        if digest != sums[name]:
            message = f"the file is not as it was built: `{path}` lists another digest"
            mend = "build the manual again; change the book and not the output"
            yield tell(CHANGED, Span(start + name), message, mend, "", digest, sums[name])
