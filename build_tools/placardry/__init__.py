"""Placardry keeps every limit of a machine once and publishes it everywhere.

The public face of the package: `load` reads a book, a `Book` can be checked and built.
"""

__version__ = "0.1.0"
