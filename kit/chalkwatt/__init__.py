"""Chalkwatt: living equations for people who explain electric vehicles.

Nothing heavy is imported until it is touched, so that ``import chalkwatt`` costs a few milliseconds. The
public names stand in ``__init__.pyi``, once for type checkers and for what serves them here.
"""

from __future__ import annotations

import lazy_loader

__version__ = "0.1.0"

_serve, _, _names = lazy_loader.attach_stub(__name__, __file__)
__all__ = [*_names, "__version__"]  # noqa: PLE0604  as the stub lists them


def __getattr__(name: str) -> object:
    """Import a public name the first time it is asked for."""
    if name not in _names:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    made = globals()[name] = _serve(name)
    return made


def __dir__() -> list[str]:
    return sorted(__all__)
