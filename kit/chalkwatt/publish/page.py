"""A page: one board in one HTML file that needs no kernel, no network and no server.

The file holds the still board as ordinary HTML, which any browser shows at once, and the living
one as compressed text, which a few lines of script unpack. Its Content-Security-Policy names both
scripts by their hash: nothing else can run, nothing can be fetched, and there is no ``eval``.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import os
import tempfile
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Any

from chalkwatt.boards import front_end
from chalkwatt.boards.board import start
from chalkwatt.boards.drawing import curve
from chalkwatt.boards.still import result_table, still_equations

if TYPE_CHECKING:
    from chalkwatt.boards.board import Start
    from chalkwatt.topic import Topic

__all__ = ["page", "page_text"]

_LOADER = """\
const text = document.getElementById("cw-packed").textContent;
const packed = new Blob([Uint8Array.from(atob(text), (one) => one.charCodeAt(0))]);
const plain = packed.stream().pipeThrough(new DecompressionStream("gzip"));
new Response(plain).text().then((code) => {
  const script = document.createElement("script");
  script.type = "module";
  script.textContent = code;
  document.head.append(script);
});
"""
_PAGE_STYLE = """\
:root{color-scheme:light dark}
body{margin:0 auto;max-width:108rem;padding:clamp(.5rem,3vw,2.5rem)}
body{font-family:system-ui,sans-serif;background:light-dark(#fff,#111)}
.cw-static td{padding:.1rem .6rem .1rem 0}
.cw-static svg{max-width:100%;height:auto;background:#fff}
.cw-static .cw-sheet{display:block}
.cw-static .cw-sheet>*{margin-bottom:1.5rem}
"""


def page(topic: Topic, path: str | Path, /, *, wanted: str | None = None, **known: Any) -> Path:  # noqa: ANN401
    """Write a board as one self-contained HTML file; :meth:`chalkwatt.topic.Topic.page` calls this.

    Parameters
    ----------
    topic : Topic
    path : str or Path
        Where to write it. The file appears whole or not at all.
    wanted : str, optional
        The unknown; the topic's own choice if left out.
    **known : number, str or pint quantity
        The rows and their values; the topic's invented example if left out.

    Returns
    -------
    Path

    Raises
    ------
    ChalkwattError
        If the values have no answer.
    OSError
        If the file cannot be written.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from chalkwatt import load
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = load.page(pathlib.Path(folder) / "load.html")
    ...     made.stat().st_size < 80_000
    True
    """
    return _write(Path(path), page_text(start(topic, wanted=wanted, **known)))


def page_text(first: Start) -> str:
    """Return the text of a page.

    Parameters
    ----------
    first : Start

    Returns
    -------
    str
    """
    program = json.dumps(first.program, ensure_ascii=False, separators=(",", ":"))
    # A module by its own tag cannot be imported, so its last line starts it.
    code = front_end.module().replace("export default", "const widget =").replace("\nexport ", "\n")
    code += f'mount(document.getElementById("board"), {program}, {{ heading: "h1" }});\n'
    packed = base64.b64encode(gzip.compress(code.encode(), 9, mtime=0)).decode()
    policy = "; ".join(
        (
            "default-src 'none'",
            f"script-src {_hash(code)} {_hash(_LOADER)}",
            "style-src 'unsafe-inline'",
            "font-src data:",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
    title = escape(first.program["title"])
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{_PAGE_STYLE}{front_end.stylesheet()}</style>
</head>
<body>
<main id="board">{_static(first)}</main>
<script type="text/plain" id="cw-packed">{packed}</script>
<script>{_LOADER}</script>
</body>
</html>
"""


def _static(first: Start) -> str:
    answer = first.answer()
    caution = first.program["caution"]
    head = f"<h1>{escape(first.program['title'])}</h1>"
    if caution:
        head += f'<p class="cw-caution">{escape(caution)}</p>'
    return (
        '<section class="chalkwatt cw-static"><div class="cw-sheet">'
        f'<header class="cw-head">{head}</header>'
        f'<p class="cw-big cw-answer">{escape(repr(answer))}</p>'
        f"{result_table(answer)}{still_equations(answer)}"
        f"<figure>{curve(answer)}</figure></div></section>"
    )


def _hash(script: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}'"


def _write(path: Path, text: str) -> Path:
    """Write beside the target and rename, so that a reader never meets half a file."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise
    return path
