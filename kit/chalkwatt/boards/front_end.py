"""The browser's part of a board as text: one ES module and one stylesheet, nothing to download.

The module is written in several files for its readers; here they are joined in order of dependence.
There is no bundler: an import line between the files is dropped, and so is the word ``export``
everywhere but in the last file.
"""

from __future__ import annotations

import base64
import re
from functools import cache
from pathlib import Path

__all__ = ["font", "module", "page_script", "stylesheet"]

FILES = (
    "numbers.js",
    "solving.js",
    "state.js",
    "equation.js",
    "curve.js",
    "words.js",
    "coherent.js",
    "working.js",
    "row.js",
    "board.js",
)
_IN_A_NOTEBOOK = "widget.js"
_ON_A_PAGE = "page.js"
_HERE = Path(__file__).parent / "front"
_IMPORT = re.compile(r"^import .*? from \"\./\w+\.js\";\n", re.MULTILINE)
_EXPORT = re.compile(r"^export (?!default)", re.MULTILINE)


@cache
def module() -> str:
    """Return the board as one ES module; its default export is what anywidget calls."""
    return _joined() + _short(_IMPORT.sub("", _read(_IN_A_NOTEBOOK)))


@cache
def page_script() -> str:
    """Return the board with what a page needs instead of what a notebook needs: ``new Page(data)`` starts it."""
    return _joined() + _short(_EXPORT.sub("", _IMPORT.sub("", _read(_ON_A_PAGE))))


def _joined() -> str:
    return "".join(_short(_EXPORT.sub("", _IMPORT.sub("", _read(name)))) for name in FILES)


@cache
def stylesheet() -> str:
    """Return the stylesheet with its maths font inside."""
    css = _short(re.sub(r"/\*.*?\*/", "", _read("board.css"), flags=re.DOTALL))
    css = re.sub(r"\s*([{};])\s*", r"\1", css).replace(": ", ":").replace(";}", "}")
    css = re.sub(r"(?<![\w.])0(?=\.\d)", "", css.replace(", ", ",").replace(" > ", ">"))
    css = css.replace(" !important", "!important")
    return css.replace('url("math.woff2")', f"url({font()})")


@cache
def font() -> str:
    """Return the maths font as a data address."""
    return (
        "data:font/woff2;base64," + base64.b64encode((_HERE / "math.woff2").read_bytes()).decode()
    )


def _read(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _short(text: str) -> str:
    # Only whole lines of comment, the space at the start of lines and the line ends inside braces go: that
    # needs no parser, as long as no text that is shown has a brace at the end or the start of a line.
    lines = (line.strip() for line in text.splitlines())
    kept = "".join(line + "\n" for line in lines if line and not line.startswith("// "))
    return re.sub(r"(?<=\{)\n|;?\n(?=\})", "", kept)
