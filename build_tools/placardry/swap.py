"""A finished folder in the place of the last one: whole, or not at all.

All that is unfinished lies in one hidden folder beside the target, `.NAME.build`: the lock, the
new folder and, during a swap, the old one. Whoever builds next clears what a crash has left there.
"""

from __future__ import annotations

import ctypes
import os
import shutil
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, Self

from placardry.errors import EnvironmentFault
from placardry.files import write_tree

_held: set[Path] = set()  # by this process, which the system's lock would let in a second time


class Place:
    """The place of a published folder, held by one build at a time.

    A context: entering takes the lock and ends a swap that was interrupted, leaving clears up.
    Between `write` and `swap` the new folder lies finished in `staged`, and nothing is replaced.

    Raises:
        EnvironmentFault: the disk refuses, or another build has the place.
    """

    def __init__(self, target: Path) -> None:
        self.target = target
        self._beside = target.with_name(f".{target.name}.build")
        self.staged = self._beside / "new"
        self._old = self._beside / "old"
        self._lock: BinaryIO | None = None

    def __enter__(self) -> Self:
        try:
            self._lock = _taken(self._beside)
        except OSError as error:
            raise EnvironmentFault(
                f"cannot write beside `{self.target}`: {_said(error)}"
            ) from error
        if self._lock is None:
            raise EnvironmentFault(
                f"another build is writing `{self.target}`; wait until it has ended"
            )
        try:
            self._restore()
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *_: object) -> None:
        with suppress(EnvironmentFault):  # what stays is cleared by the next build
            self._restore()
        if self._lock is not None:
            _release(self._beside, self._lock)
            self._lock = None

    def write(self, artifacts: Mapping[str, bytes]) -> None:
        """Write the new folder, beside the place where it will stand."""
        write_tree(self.staged, artifacts)

    def swap(self) -> None:
        """Put the new folder in its place; if the disk refuses, the old one stays there."""
        try:
            if not self.target.exists():
                self.staged.rename(self.target)
            elif not _exchanged(self.staged, self.target):
                self.target.rename(self._old)
                self.staged.rename(self.target)
        except OSError as error:
            self._restore()
            raise EnvironmentFault(
                f"cannot replace `{self.target}`: {_said(error)}; "
                "close what has it open and try again"
            ) from error

    def _restore(self) -> None:
        """Bring back the old folder if nothing stands in its place, and remove the rest."""
        try:
            if self._old.exists() and not self.target.exists():
                self._old.rename(self.target)
            for rest in (self._old, self.staged):
                if rest.exists():
                    shutil.rmtree(rest)
        except OSError as error:
            raise EnvironmentFault(f"cannot restore `{self.target}`: {_said(error)}") from error


def _said(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _exchanged(one: Path, other: Path) -> bool:
    """Whether the system has let two folders change places in one act; Linux can, most others not.

    Source: renameat2(2), RENAME_EXCHANGE.
    """
    at_cwd, exchange = -100, 2
    rename = getattr(ctypes.CDLL(None), "renameat2", None) if sys.platform == "linux" else None
    if rename is None:
        return False
    names = (ctypes.c_char_p(os.fsencode(path)) for path in (one, other))
    return bool(rename(at_cwd, next(names), at_cwd, next(names), exchange) == 0)


def _taken(folder: Path) -> BinaryIO | None:
    """The lock of a folder, which ends with this process at the latest; None if another has it."""
    path = folder / "lock"
    if folder in _held:
        return None
    while True:
        folder.mkdir(parents=True, exist_ok=True)
        try:
            lock = path.open("a+b")
            if not _locked(lock):
                lock.close()
                return None
            # The build before may have removed the file between our opening and locking it.
            if os.path.samestat(os.fstat(lock.fileno()), path.stat()):
                _held.add(folder)
                return lock
            lock.close()
        except FileNotFoundError:
            continue


def _release(folder: Path, lock: BinaryIO) -> None:
    with suppress(OSError):  # where open files cannot be removed, it is removed below
        (folder / "lock").unlink()
    lock.close()
    _held.discard(folder)
    with suppress(OSError):
        if sys.platform == "win32":
            (folder / "lock").unlink()  # refused while another build has it open
        folder.rmdir()


def _locked(file: BinaryIO) -> bool:
    """Whether we have the lock of a file now.

    Locked is the file for this process alone: a worker that outlives it must not keep the lock.
    """
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.lockf(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    return True
