"""The front end's functions in a browser page, and a page with a board on it."""

import importlib
import json
import pkgutil

from chalkwatt import topics as package
from chalkwatt.answering.topic import Topic
from chalkwatt.boards import front_end

FUNCTIONS = (
    "formatAlike, formatNumber, formatInput, numberParts, parseNumber, onGrid, cubicRoots, quadraticRoots, allRoots,"
    " searchGrid, compile, Solver, State, Words, Printer, Slots, symbol, amount, strands, ticks,"
    " mount"
)


def topics():
    """Every topic of the package, by name."""
    found = {}
    for entry in pkgutil.iter_modules(package.__path__):
        for one in vars(importlib.import_module(f"{package.__name__}.{entry.name}")).values():
            if isinstance(one, Topic):
                found[one.name] = one
    return [found[name] for name in sorted(found)]


def script() -> str:
    """The module as a classic script that leaves its functions in ``window.chalk``."""
    code = front_end.module().replace("export default", "const widget =").replace("\nexport ", "\n")
    return f"(() => {{\n{code}\nwindow.chalk = {{ {FUNCTIONS} }};\n}})();"


def load(page):
    """Put the functions into an empty page."""
    page.goto("about:blank")
    page.evaluate(script())


def open_board(page, program, *, width=1280, scheme="light"):
    """Show a board made of a program; `window.board` is the board."""
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=scheme)
    page.set_content(
        '<!doctype html><html lang="en"><head><title>Board</title><style>'
        ":root{color-scheme:light dark}body{margin:0;padding:1rem;font-family:sans-serif;"
        "background:light-dark(#fff,#111)}"
        f"{front_end.stylesheet()}</style></head><body><main id='board'></main></body></html>"
    )
    page.evaluate(script())
    page.evaluate(
        """(program) => {
            window.moves = [];
            const move = (one) => window.moves.push(one.state.value(one.state.wanted));
            window.board = chalk.mount(document.querySelector("#board"), program, { move });
        }""",
        json.loads(json.dumps(program)),
    )
    page.evaluate("() => document.fonts.ready.then(() => true)")
    page.wait_for_timeout(100)


def row(page, words):
    """The row of a quantity, by its name."""
    return page.locator(".cw-row").filter(has=page.get_by_text(words, exact=True))
