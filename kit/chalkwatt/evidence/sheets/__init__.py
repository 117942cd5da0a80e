"""Sheets: scattered evidence about a vehicle, read from a file that a person writes.

The names stand in ``__init__.pyi`` and are imported when they are asked for: the pages of this room are built on
by others that a sheet itself builds on.
"""

from __future__ import annotations

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
