"""The exceptions of the package, for misuse and for a broken environment only.

A mistake in a book is never an exception: it is a `Finding`.

    PlacardryError
    ├── NoBookError        the folder or revision holds no book
    ├── EnvironmentFault   git, Chromium, a disk or a font let us down
    └── Malformed          one scalar is not what its field wants (a reader turns it into a finding)
"""


class PlacardryError(Exception):
    """Root of the family; the command line prints its message and exits with 2."""


class NoBookError(PlacardryError):
    """There is no `procedures/book.yaml` where a book was asked for."""


class EnvironmentFault(PlacardryError):
    """Something outside the book failed: a command, a file system, a missing package."""


class Malformed(PlacardryError):
    """A scalar's text cannot be read as the type its field wants.

    Never leaves the readers: `decoder` catches it and reports a finding of rule `rule`.
    """

    def __init__(self, message: str, mend: str, rule: str = "malformed-value") -> None:
        super().__init__(message)
        self.message = message
        self.mend = mend
        self.rule = rule
