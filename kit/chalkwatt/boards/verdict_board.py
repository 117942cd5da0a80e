"""The board of a verdict: the word, the sentence, and the figures that carry it, as static HTML.

It needs no front end, so that it looks the same in a notebook, in an export and in a file of its own.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.telling import cases, circumstances
from chalkwatt.figures.plot import style, unbroken
from chalkwatt.figures.verdict import (
    frontier_figure,
    need_strip,
    spread_figure,
    tornado_figure,
)
from chalkwatt.laws.quantities import look_up
from chalkwatt.store import write_text
from chalkwatt.wording.numbers import as_percent, format_number

if TYPE_CHECKING:
    from pathlib import Path

    from chalkwatt.evidence.claims.valueless import ValuelessVerdict
    from chalkwatt.evidence.claims.variants import VariantVerdict
    from chalkwatt.evidence.claims.verdicts import Need, Verdict
    from chalkwatt.evidence.finding import Finding

__all__ = ["VariantBoard", "VerdictBoard"]


class _Board:
    """What both boards share."""

    def __init__(self, told: str, body: str) -> None:
        self._told = told
        self.html = (
            f"{style()}"
            f'<div class="cw-fig cw-verdict" role="region" aria-label="Verdict">{body}</div>'
        )

    def __repr__(self) -> str:
        """Say the verdict, which is all that a saved notebook without a front end can show."""
        return self._told

    def _repr_html_(self) -> str:
        return self.html

    def write(self, path: str | Path) -> Path:
        """Write the board as one HTML file that needs nothing else.

        Parameters
        ----------
        path : str or Path

        Returns
        -------
        Path
        """
        return write_text(path, self.page)

    @property
    def page(self) -> str:
        """The board as one HTML page."""
        return (
            '<!doctype html><html lang="en"><head><meta charset="utf-8">'
            '<meta name="viewport" content="width=device-width,initial-scale=1"><title>Verdict</title>'
            "<style>:root{color-scheme:light dark;font-family:system-ui,sans-serif;"
            "background:light-dark(#fff,#111)}body{margin:1rem}</style></head>"
            f"<body><main>{self.html}</main></body></html>"
        )


class VerdictBoard(_Board):
    """A verdict with its figures.

    Parameters
    ----------
    verdict : Verdict

    Attributes
    ----------
    html : str
    """

    def __init__(self, verdict: Verdict) -> None:
        self.verdict = verdict
        super().__init__(repr(verdict), _verdict(verdict))


def _verdict(verdict: Verdict) -> str:
    claim, finding = verdict.claim, verdict.finding
    words = look_up(claim.quantity).words
    count = finding.spread.values.size if not finding.certain else 0
    chance = f"met in {cases(verdict.chance, count)}" if count else "no value behind it has a range"
    head = (
        f"<h2>{escape(claim.said_by)}: {escape(words)} {escape(claim.said)}"
        f"{escape(circumstances(claim))}</h2>"
        f'<p class="word">{verdict.word}<small>{escape(chance)}</small></p>'
        f'<p class="said">{escape(unbroken(verdict.sentence))}</p>'
    )
    return head + _figures(verdict) + _needs(verdict) + _foot(finding, verdict.sheet.invented)


def _figures(verdict: Verdict) -> str:
    finding = verdict.finding
    if finding.certain:
        return ""
    figures = [
        (
            f"What the sheet gives for the {look_up(finding.wanted).words}",
            spread_figure(finding, verdict.claim),
        ),
        (
            "What each value alone does, from the lower (pale) to the upper end of its range",
            tornado_figure(finding, verdict.claim),
        ),
    ]
    if verdict.frontier is not None:
        told = "Where the claim is just met, for the two values that matter most"
        figures.append((told, frontier_figure(verdict, verdict.frontier)))
    made = "".join(f"<figure><h3>{escape(title)}</h3>{svg}</figure>" for title, svg in figures)
    kind = "figures three" if len(figures) > 2 else "figures"
    return f'<div class="{kind}">{made}</div>'


def _needs(verdict: Verdict) -> str:
    title = (
        "How far each value alone may go before the claim fails"
        if verdict.met
        else "What each value alone would have to be for the claim to hold"
    )
    try:
        shares = {name: (first, total) for name, first, total in verdict.finding.indices.ranked()}
    except ChalkwattError:
        shares = {}
    rows = "".join(_need_row(need, shares.get(need.name)) for need in verdict.needs)
    head = "".join(
        f'<th scope="col"{kind}>{words}</th>'
        for words, kind in (
            ("value", ""),
            ("stated", ""),
            ("origin", ""),
            ("range, and what the claim needs", ""),
            ("alone", ""),
            ("share of variance,<br>alone and in all", ' class="n"'),
        )
    )
    return (
        f'<div class="wide needs"><h3>{title}</h3><div class="scroll">'
        f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table></div></div>"
    )


def _need_row(need: Need, shares: tuple[float, float] | None) -> str:
    fact = need.fact
    origin = "condition" if fact.origin == "asked" else fact.origin
    shown = bool(need.within_reach)
    place = "" if not shown else "; in its range" if need.inside else "; beyond its range"
    if fact.exact and shown:
        place = "; it has no range"
    variance = " · ".join(f"{max(one, 0.0):.2f}" for one in shares) if shares else "–"
    return (
        f'<tr><th scope="row">{escape(look_up(need.name).words)}</th><td>{escape(fact.text)}</td>'
        f'<td class="quiet">{origin}</td><td class="strip">{need_strip(need)}</td>'
        f'<td class="whole">{escape(_alone(need))}<span class="quiet">{place}</span></td>'
        f'<td class="n">{variance}</td></tr>'
    )


def _alone(need: Need) -> str:
    if need.within_reach:
        return need.alone
    return f"no {'' if need.value is None else 'usual '}value alone {need.alone}"


def _foot(finding: Finding, invented: bool) -> str:  # noqa: FBT001
    parts = []
    if invented:
        parts.append("This vehicle is invented.")
    if not finding.certain:
        parts.append(
            f"{finding.spread.values.size} draws, seed {finding.draws.seed}. A draw takes one value from every stated "
            "range; the verdict is no better than these ranges."
        )
        if finding.spread.unsolved:
            parts.append(
                f"{as_percent(finding.spread.unsolved)} of the draws have no solution and count as not met."
            )
    against = {name for one in finding.conflicts for name in one.involved}
    agreeing = [name for name in finding.set_aside if name not in against]
    if agreeing:
        names = ", ".join(look_up(one).words for one in agreeing)
        parts.append(f"Set aside, because the rest of the sheet says it already: {names}.")
    granted = ", ".join(one.title.lower() for one in finding.working.assumptions)
    if granted:
        parts.append(f"Taken for granted: {granted}.")
    return f'<p class="foot">{escape(" ".join(parts))}</p>'


class ValuelessBoard(_Board):
    """A verdict on what has no value at the stated values: because nothing limits it, or there is no answer.

    Parameters
    ----------
    verdict : ValuelessVerdict

    Attributes
    ----------
    html : str
    """

    def __init__(self, verdict: ValuelessVerdict) -> None:
        self.verdict = verdict
        claim = verdict.claim
        marked = '<p class="foot">This vehicle is invented.</p>' if verdict.sheet.invented else ""
        super().__init__(
            repr(verdict),
            f"<h2>{escape(claim.said_by)}: {escape(look_up(claim.quantity).words)} {escape(claim.said)}"
            f'{escape(circumstances(claim))}</h2><p class="word">{verdict.word}</p>'
            f'<p class="said">{escape(unbroken(verdict.sentence))}</p>{marked}',
        )


class VariantBoard(_Board):
    """What a variant must have, as a table with its spreads.

    Parameters
    ----------
    verdict : VariantVerdict

    Attributes
    ----------
    html : str
    """

    def __init__(self, verdict: VariantVerdict) -> None:
        self.verdict = verdict
        super().__init__(repr(verdict), _variant(verdict))


def _variant(verdict: VariantVerdict) -> str:
    claim = verdict.claim
    words = look_up(claim.quantity).words
    head = (
        f"<h2>{escape(claim.said_by)}, of the {escape(claim.variant)}: {escape(words)} "
        f"{escape(claim.said)}{escape(circumstances(claim))}</h2>"
        f'<p class="word">{verdict.word}</p><p class="said">{escape(unbroken(verdict.sentence))}</p>'
    )
    figures = "".join(
        f"<figure><h3>Needed {escape(look_up(name).words)}</h3>{spread_figure(finding)}</figure>"
        for name, finding in verdict.needs.items()
        if not finding.certain
    )
    rows = "".join(
        f'<tr><th scope="row">{escape(look_up(name).words)}</th><td class="n">{_described(verdict, name)}</td>'
        f'<td class="n">{escape(finding.text)}</td></tr>'
        for name, finding in verdict.needs.items()
    )
    table = (
        '<div class="wide variant"><table>'
        '<thead><tr><th scope="col">quantity</th><th scope="col" class="n">as described</th>'
        f'<th scope="col" class="n">the variant needs</th></tr></thead><tbody>{rows}</tbody></table></div>'
    )
    foot = "Mass and energy are solved together: more cells weigh more, and more mass asks for more energy."
    marked = "This vehicle is invented. " if verdict.sheet.invented else ""
    shown = table if rows else ""
    return f'{head}<div class="figures">{figures}</div>{shown}<p class="foot">{marked}{foot}</p>'


def _described(verdict: VariantVerdict, name: str) -> str:
    sheet = verdict.sheet
    if name in sheet.facts:
        return escape(sheet.facts[name].text)
    try:
        return escape(sheet.find(name).text)
    except ChalkwattError:
        return format_number(float("nan"))
