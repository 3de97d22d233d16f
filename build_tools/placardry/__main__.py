"""`python -m placardry`."""

from placardry.cli import run

run()
