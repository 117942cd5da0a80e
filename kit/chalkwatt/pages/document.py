"""The file of a page: one HTML file that needs no kernel, no network and no server.

It holds still boards as ordinary HTML, which any browser shows at once, and the living ones as
compressed text, which a few lines of script unpack. Its Content-Security-Policy names both scripts
and the stylesheet by their hash: nothing else can run, nothing can be fetched, and there is no
``eval``.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
import zlib
from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING

from chalkwatt.answering.driven import how_far
from chalkwatt.boards import front_end
from chalkwatt.boards.board import start
from chalkwatt.boards.still import given_table, result_table, still_equations
from chalkwatt.errors import NoSolutionError
from chalkwatt.laws.quantities import look_up
from chalkwatt.look.drawing import curve
from chalkwatt.pages.merging import merged
from chalkwatt.pages.prose import clean
from chalkwatt.pages.style import STYLE, VERDICT
from chalkwatt.store import write_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from chalkwatt.answering.answers import Answer
    from chalkwatt.answering.topic import Topic
    from chalkwatt.boards.board import Start
    from chalkwatt.wording.given import Given

__all__ = ["BoardPart", "Part", "page", "page_text", "part_text", "shown"]

_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)

# The first still board is spared the browser while the living one is unpacked, and comes back if it
# does not arrive. The script itself has to stand in a tag of its own to be run under its hash.
# Eighty-five signs carry four bytes in five, where base64 takes five and a third; none of them is "<".
_SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%&()*+-;,=>?@^_`{|}~"
_LOADER = """\
const first = document.querySelector(".cw-place");
const still = () => first?.classList.remove("cw-hidden");
first?.classList.add("cw-hidden");
setTimeout(still, 2000);
addEventListener("error", still);
const { textContent: text, dataset } = document.getElementById("cw-packed");
const bytes = new DataView(new ArrayBuffer(text.length / 5 * 4));
for (let i = 0, sum = 0; i < text.length; ) {
  sum = sum * 85 + SIGNS.indexOf(text[i++]);
  if (i % 5 === 0) { bytes.setUint32(i / 5 * 4 - 4, sum); sum = 0; }
}
const packed = new Blob([bytes.buffer.slice(0, dataset.size)]).stream();
const plain = packed.pipeThrough(new DecompressionStream("deflate-raw"));
new Response(plain).text().then((code) => {
  const script = document.createElement("script");
  script.type = "module";
  script.textContent = code;
  document.head.append(script);
}).catch(still);
""".replace("SIGNS", f'"{_SIGNS}"').replace("\n  ", "\n")


_REGION = re.compile(r'(<[^<>]*(?:role="region"|class="chalkwatt cw-static") aria-label=")([^"]*)"')


@dataclass(frozen=True)
class Part:
    """A piece of a page that does not move: HTML of our own making, and the styles that it needs."""

    html: str
    styles: tuple[str, ...] = ()


@dataclass(frozen=True)
class BoardPart:
    """A board on a page."""

    start: Start = field(repr=False)


def page(topic: Topic, path: str | Path, /, *, wanted: str | None = None, **known: Given) -> Path:
    """Write a board as one self-contained HTML file; :meth:`chalkwatt.answering.topic.Topic.page` calls this.

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
        If the values have no answer, unless that is because nothing limits it, or the file cannot be written.

    Examples
    --------
    >>> import pathlib, tempfile
    >>> from chalkwatt import load
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     made = load.page(pathlib.Path(folder) / "load.html")
    ...     made.stat().st_size < 80_000
    True
    """
    return write_text(path, page_text(start(topic, None, wanted=wanted, **known)))


def shown(piece: object) -> Part | None:
    """Return the HTML that one of our own objects shows in a notebook, its styles apart; else None."""
    draw = getattr(piece, "_repr_html_", None)
    if draw is None or not type(piece).__module__.startswith("chalkwatt."):
        return None  # nobody else's markup
    html = clean(draw())
    return Part(f"<div>{_STYLE.sub('', html)}</div>", (*_STYLE.findall(html), VERDICT))


def page_text(first: Start) -> str:
    """Return the text of a page with one board, whose title is the page's.

    Parameters
    ----------
    first : Start

    Returns
    -------
    str
    """
    return part_text("", [BoardPart(first)])


def part_text(
    title: str, parts: Sequence[Part | BoardPart], *, linked: bool | Sequence[str] = True
) -> str:
    """Return the text of a page.

    Parameters
    ----------
    title : str
        The first heading; if empty, the first board has it.
    parts : sequence of Part or BoardPart
    linked : bool or sequence of str
        Whether a quantity that several boards are given moves in all of them; or which ones do.

    Returns
    -------
    str
    """
    boards = [one for one in parts if isinstance(one, BoardPart)]
    ids = _ids([one.start.program["topic"] for one in boards])
    heading = "h2" if title else "h1"
    shown = clean(title or (boards[0].start.program["title"] if boards else ""))
    places = iter(ids)
    body = "".join(
        _place(one.start, next(places), heading) if isinstance(one, BoardPart) else one.html
        for one in parts
    )
    body = _told_apart(body)
    styles = dict.fromkeys(style for one in parts if isinstance(one, Part) for style in one.styles)
    style = STYLE + front_end.stylesheet() + "".join(styles)
    code, scripts = _living(boards, ids, heading, linked=linked) if boards else ("", "")
    allowed = f"{_hash(code)} {_hash(_LOADER)}" if boards else "'none'"
    policy = "; ".join(
        (
            "default-src 'none'",
            f"script-src {allowed}",
            f"style-src {_hash(style)}",
            "font-src data:",
            "img-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
    head = f"<h1>{escape(shown)}</h1>" if title else ""
    noted = '<p class="cw-address" role="status"></p>' if boards else ""
    foot = '<p class="cw-share"></p>' if boards else ""
    return f"""<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{escape(shown)}</title>
<style>{style}</style>
</head>
<body>
<main>{head}{noted}{body}{foot}</main>
{scripts}</body>
</html>
"""


def _told_apart(body: str) -> str:
    """Number the regions of one name: whoever listens to a page goes from one to the next by name."""
    seen: dict[str, int] = {}

    def number(found: re.Match[str]) -> str:
        before = seen.get(found[2], 0)
        seen[found[2]] = before + 1
        return f'{found[1]}{found[2]} {before + 1}"' if before else found[0]

    return _REGION.sub(number, body)


def _living(
    boards: Sequence[BoardPart], ids: Sequence[str], heading: str, *, linked: bool | Sequence[str]
) -> tuple[str, str]:
    """Return what brings the boards to life: the script, and the tags that hold and start it."""
    shared = merged([one.start.program for one in boards])
    own = shared.pop("programs")
    data = {
        "linked": linked if isinstance(linked, bool) else list(linked),
        "boards": [
            {"id": one, "heading": heading, "program": program}
            for one, program in zip(ids, own, strict=True)
        ],
        **shared,
    }
    told = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    # A lone surrogate has no UTF-8; in a title of a foreign make it becomes a replacement sign.
    code = front_end.page_script() + f"new Page({clean(told)});\n"
    data_size, packed = _packed(code)
    tags = (
        f'<script type="text/plain" id="cw-packed" data-size="{data_size}">{packed}</script>\n'
        f"<script>{_LOADER}</script>\n"
    )
    return code, tags


def _packed(code: str) -> tuple[int, str]:
    """Compress a script, and write its bytes in signs that need no escaping; the last group is filled up."""
    # Without a head and a sum of its own: the policy's hash is of the script as it comes out.
    pressed = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS, zlib.DEF_MEM_LEVEL + 1)
    data = pressed.compress(code.encode()) + pressed.flush()
    written = base64.b85encode(data, pad=True).decode().replace("<", ",")
    return len(data), written


def _ids(names: Sequence[str]) -> list[str]:
    """Name each board after its topic; a second one of a topic is load-2."""
    made = []
    for place, name in enumerate(names):
        before = names[:place].count(name)
        made.append(f"{name}-{before + 1}" if before else name)
    return made


def _place(first: Start, place: str, heading: str) -> str:
    """Return the still board, where the living one will stand."""
    caution = first.program["caution"]
    title = clean(first.program["title"])
    head = f"<{heading}>{escape(title)}</{heading}>"
    if caution:
        head += f'<p class="cw-caution">{escape(clean(caution))}</p>'
    return (
        f'<div class="cw-place" id="{place}">'
        f'<section class="chalkwatt cw-static" aria-label="{escape(title)}"><div class="cw-sheet">'
        f'<header class="cw-head">{head}</header>{_still(first)}</div></section></div>'
    )


def _still(first: Start) -> str:
    """Return the result, the curve, the working and the values; or, where nothing limits the result, that."""
    try:
        answer = first.answer()
    except NoSolutionError as cause:
        if first.wanted not in cause.endless:
            raise
        words = escape(look_up(first.wanted).words)
        why = escape(str(cause).removesuffix(cause.advice).strip())
        return (
            f'<div class="cw-result"><p class="cw-big"><span class="cw-name">{words}</span> '
            f'<span class="cw-answer">–</span></p><p class="cw-further">{why}</p></div>'
            f'<div class="cw-side">{given_table(first.si, first.shown)}</div>'
        )
    return (
        f'<div class="cw-result">{_result(answer)}</div>'
        f'<figure class="cw-curve">{curve(answer, alone=False)}</figure>{still_equations(answer)}'
        f'<div class="cw-side">{result_table(answer)}</div>'
    )


def _result(answer: Answer) -> str:
    """Say the result as the living board does: the words above, the number below, then drive and notes."""
    words, drive = escape(answer.quantity.words), how_far(answer)
    number = repr(answer).partition(" = ")[2].removesuffix(drive)
    said = " ".join((*([f"{drive.strip()}."] if drive and answer.notes else []), *answer.notes))
    further = said or drive.strip()
    further = f'<p class="cw-further">{escape(further)}</p>' if further else ""
    return (
        f'<p class="cw-big"><span class="cw-name">{words}</span> '
        f'<span class="cw-answer">{escape(number)}</span></p>{further}'
    )


def _hash(content: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"
