"""`python -m placardry`."""

from placardry.cli import main

raise SystemExit(main())
