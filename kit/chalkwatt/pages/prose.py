"""Text of a page: paragraphs, headings, lists and emphasis, written plainly. No markup gets through.

A subset of what people write in notebooks is understood, and nothing of it can become a tag, a link
or a picture: every character is escaped first, and only marks that are left are set.
"""

from __future__ import annotations

import re
from html import escape

__all__ = ["clean", "prose", "split_title"]

_HEADING = re.compile(r"(#{1,3})[ \t]+(\S.*)")
_BULLET = re.compile(r"[-*+][ \t]+(\S.*)")
_NUMBERED = re.compile(r"\d{1,3}[.)][ \t]+(\S.*)")
_MARKS = (
    (re.compile(r"`([^`\n]+)`"), "code"),
    (re.compile(r"\*\*(?!\s)([^*\n]+?)(?<!\s)\*\*"), "strong"),
    (re.compile(r"(?<![*\w])\*(?![\s*])([^*\n]+?)(?<![\s*])\*(?![*\w])"), "em"),
)
# What no file should hold: control characters, halves of characters, and what is no character.
_NO_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]")


def clean(text: str) -> str:
    r"""Return text with a replacement sign for what cannot be written in a file.

    Examples
    --------
    >>> from chalkwatt.pages.prose import clean
    >>> clean("a bell\x07")
    'a bell�'
    """
    return _NO_TEXT.sub("\ufffd", text.replace("\r\n", "\n"))


def prose(text: str) -> str:
    r"""Set plain text as HTML.

    Parameters
    ----------
    text : str
        Paragraphs and lists apart by empty lines; ``#``, ``##`` and ``###`` begin a heading, ``-`` or
        ``1.`` an item; ``**strong**``, ``*emphasis*`` and ```code``` are understood. All else is
        text.

    Returns
    -------
    str

    Examples
    --------
    >>> from chalkwatt.pages.prose import prose
    >>> prose("## Twice <b>\n\nas *fast*")
    '<h2>Twice &lt;b&gt;</h2><p>as <em>fast</em></p>'
    """
    return "".join(_block(block) for block in re.split(r"\n[ \t]*\n", clean(text)) if block.strip())


def split_title(text: str) -> tuple[str, str]:
    r"""Return the title that a text begins with, or nothing, and the rest.

    Examples
    --------
    >>> from chalkwatt.pages.prose import split_title
    >>> split_title("# The long road\n\nOnce.")
    ('The long road', 'Once.')
    """
    first, _, rest = clean(text).strip().partition("\n")
    found = _HEADING.fullmatch(first.strip())
    if found and found[1] == "#":
        return found[2].strip(), rest.strip()
    return "", text


def _block(block: str) -> str:
    lines = [line.strip() for line in block.strip().split("\n")]
    made = []
    while lines:
        if found := _HEADING.fullmatch(lines[0]):
            level = max(2, len(found[1]))  # the page's own title is the only first heading
            made.append(f"<h{level}>{_inline(found[2])}</h{level}>")
            lines.pop(0)
            continue
        for pattern, tag in ((_BULLET, "ul"), (_NUMBERED, "ol")):
            if pattern.fullmatch(lines[0]):
                made.append(f"<{tag}>{_items(lines, pattern)}</{tag}>")
                break
        else:
            made.append(f"<p>{_inline(_paragraph(lines))}</p>")
    return "".join(made)


def _items(lines: list[str], pattern: re.Pattern[str]) -> str:
    """Take the items of a list off the front of the lines; a line without a mark goes on with its item."""
    items: list[str] = []
    while lines and not _HEADING.fullmatch(lines[0]):
        found = pattern.fullmatch(lines[0])
        if found:
            items.append(found[1])
        elif _BULLET.fullmatch(lines[0]) or _NUMBERED.fullmatch(lines[0]):
            break
        else:
            items[-1] += "\n" + lines[0]
        lines.pop(0)
    return "".join(f"<li>{_inline(one)}</li>" for one in items)


def _paragraph(lines: list[str]) -> str:
    taken = [lines.pop(0)]
    while lines and not any(one.fullmatch(lines[0]) for one in (_HEADING, _BULLET, _NUMBERED)):
        taken.append(lines.pop(0))
    return "\n".join(taken)


def _inline(text: str) -> str:
    """Escape first; code is set aside, so that no other mark is read inside it."""
    kept: list[str] = []

    def keep(found: re.Match[str]) -> str:
        kept.append(f"<code>{found[1]}</code>")
        return f"\x00{len(kept) - 1}\x00"  # this sign is in no cleaned text

    made = escape(text)
    for pattern, tag in _MARKS:
        made = pattern.sub(keep if tag == "code" else rf"<{tag}>\1</{tag}>", made)
    return re.sub("\x00(\\d+)\x00", lambda found: kept[int(found[1])], made)
