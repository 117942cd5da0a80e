"""The recipe of an episode: every file that comes of a sheet, what it rests on, and how it is made.

Nothing is made here; a product says what it rests on, and makes its files when it is asked to.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from chalkwatt.cards.card import PARTS, equation_build, equation_card
from chalkwatt.cards.claim_cards import claim_card, losses_card, parts_of_consumption, sway_card
from chalkwatt.cards.figure_card import curve_card
from chalkwatt.cards.picture import format_of
from chalkwatt.episodes.ledger import Shown, digest
from chalkwatt.episodes.questions import Questions, checks_of, fact_inputs, finding_inputs
from chalkwatt.errors import ChalkwattError
from chalkwatt.evidence.claims.valueless import ValuelessVerdict
from chalkwatt.evidence.claims.variants import VariantVerdict
from chalkwatt.evidence.sheets.choosing import by_trust
from chalkwatt.look.themes import choose
from chalkwatt.scripts.script import script
from chalkwatt.topics.load import load
from chalkwatt.topics.pack import pack
from chalkwatt.worksheets.worksheet import check_seed, worksheet

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from chalkwatt.answering.topic import Topic
    from chalkwatt.cards.picture import Card
    from chalkwatt.evidence.claims.claims import Claim
    from chalkwatt.evidence.claims.verdicts import Verdict
    from chalkwatt.evidence.finding import Finding
    from chalkwatt.evidence.sheets.facts import Fact
    from chalkwatt.evidence.sheets.following import Following
    from chalkwatt.evidence.sheets.sheet import Sheet

__all__ = ["Choices", "Made", "Product", "products"]

_BUILT_UP = ("range", "pack_energy")  # equations that are built up, step by step
_SCRIPT, _PAGE = "script.md", "page.html"


@dataclass(frozen=True)
class Choices:
    """How an episode looks: as for a card, and the seed of its worksheets."""

    size: str = "landscape"
    theme: str = "light"
    ground: str = "clear"
    kind: str = "png"
    seed: int = 1

    def __post_init__(self) -> None:
        """Refuse a choice that is none before anything is made."""
        choose(self.size, self.theme, self.ground)
        format_of(None, self.kind)
        check_seed(self.seed)

    @property
    def look(self) -> dict[str, Any]:
        """The choices that concern pictures."""
        return {
            "size": self.size,
            "theme": self.theme,
            "ground": self.ground,
            "kind": self.kind,
        }


@dataclass(frozen=True)
class Made:
    """A file as it was made: its path in the folder, its content, and what it shows."""

    path: str
    data: bytes
    alt: str = ""
    shows: tuple[Shown, ...] = ()


@dataclass
class Product:
    """One or several files that are made together.

    Attributes
    ----------
    name : str
    inputs : list
        What it is made from, as data for a digest.
    make : callable
        Makes the files.
    paths : callable
        Names them, without making them.
    facts : mapping of str to Fact, optional
        Given where only making shows which of them it rests on; ``noted`` holds their names then.
    first : bool
        Whether it is made before anything is written, because what is wrong with it is somebody's text.
    """

    name: str
    inputs: list[Any]
    make: Callable[[], list[Made]]
    paths: Callable[[], list[str]]
    facts: Mapping[str, Fact] | None = None
    noted: set[str] = field(default_factory=set)
    first: bool = False

    def key(self, rests_on: Sequence[str] = ()) -> str:
        """Return the digest of everything that it is made from."""
        facts = self.facts or {}
        known = [facts[name] for name in rests_on if name in facts]
        return digest(self.name, self.inputs, fact_inputs(known))


def products(questions: Questions, template: str, choices: Choices) -> list[Product]:
    """List everything that an episode consists of.

    Parameters
    ----------
    questions : Questions
    template : str
        Of the script.
    choices : Choices

    Returns
    -------
    list of Product
        The quick ones first.
    """
    sheet = questions.sheet
    made = [_script(sheet, template), _page(questions), *_worksheets(sheet, choices.seed)]
    for name, finding in questions.findings.items():
        made.append(_equation(name, finding, choices))
    made += _figures(questions.findings, choices)
    for place, verdict in questions.verdicts.items():
        made += _verdict(place, verdict, choices)
    for name in _BUILT_UP:
        if name in questions.findings:
            made.append(_build(name, questions.findings[name], choices))
    return made


def _filed(path: str, card: Card, more: Mapping[str, str] = MappingProxyType({})) -> Made:
    """File a card; ``more`` gives the ledger's names of numbers that are no quantities."""
    shows = tuple(Shown(more.get(name, name), float(si)) for name, si in card.carries.items())
    return Made(f"{path}.{card.kind}", card.data, card.alt, shows)


def _equation(name: str, finding: Finding, choices: Choices) -> Product:
    def make() -> list[Made]:
        return [_filed(f"cards/{name}", equation_card(finding, **choices.look))]

    paths = [f"cards/{name}.{choices.kind}"]
    return Product(f"cards/{name}", [finding_inputs(finding), choices.look], make, lambda: paths)


def _build(name: str, finding: Finding, choices: Choices) -> Product:
    def stems() -> list[str]:
        steps = [one.find for one in finding.working.steps]
        return [
            f"build/{name}/{place:02}-{step}-{part}"
            for place, step in enumerate(steps, start=1)
            for part in range(1, len(PARTS) + 1)
        ]

    def make() -> list[Made]:
        steps = [one.find for one in finding.working.steps]
        cards = equation_build(finding, steps=steps, **choices.look)
        return [_filed(stem, card) for stem, card in zip(stems(), cards, strict=True)]

    def paths() -> list[str]:
        return [f"{stem}.{choices.kind}" for stem in stems()]

    return Product(f"build/{name}", [finding_inputs(finding), choices.look], make, paths)


def _figures(findings: Mapping[str, Finding], choices: Choices) -> Iterator[Product]:
    far = findings.get("range")
    if far is not None and "speed" in far.known:
        yield Product(
            "figures/range-by-speed",
            [finding_inputs(far), choices.look],
            lambda: _curve(far, choices),
            lambda: [f"figures/range-by-speed.{choices.kind}"],
        )
    use = findings.get("consumption")
    if use is not None:
        try:
            parts_of_consumption(use)
        except ChalkwattError:
            return  # it does not come by way of the forces
        yield Product(
            "figures/losses",
            [finding_inputs(use), choices.look],
            lambda: _losses(use, choices),
            lambda: [f"figures/losses.{choices.kind}"],
        )


def _curve(finding: Finding, choices: Choices) -> list[Made]:
    card = curve_card(finding, against="speed", **choices.look)
    return [_filed("figures/range-by-speed", card)]


def _losses(finding: Finding, choices: Choices) -> list[Made]:
    return [_filed("figures/losses", losses_card(finding, **choices.look))]


def _verdict(
    place: int, verdict: Verdict | ValuelessVerdict | VariantVerdict, choices: Choices
) -> Iterator[Product]:
    """List the figures and the page of one claim."""
    claim = verdict.claim
    about = _claim_inputs(claim)
    name = f"claims/{place}-{claim.quantity}"
    variant = isinstance(verdict, ValuelessVerdict | VariantVerdict)
    findings = (
        [*verdict.needs.values()]
        if isinstance(verdict, ValuelessVerdict | VariantVerdict)
        else [verdict.finding]
    )
    rests = [finding_inputs(one, spread=True) for one in findings]
    stated = fact_inputs(verdict.sheet.facts.values()) if variant else []
    own = {"claim": f"claim {place}", "chance": f"chance {place}"}
    if not isinstance(verdict, ValuelessVerdict | VariantVerdict) and not verdict.finding.certain:
        told_by = verdict

        def figures() -> list[Made]:
            cards = {"spread": claim_card, "values": sway_card}
            made = [
                _filed(f"{name}-{kind}", draw(told_by, **choices.look), own)
                for kind, draw in cards.items()
            ]
            return [_with_spread(one, {*told_by.finding.facts, claim.quantity}) for one in made]

        drawn = [f"{name}-{kind}.{choices.kind}" for kind in ("spread", "values")]
        yield Product(f"{name}-figures", [about, rests, choices.look], figures, lambda: drawn)

    def page() -> list[Made]:
        return [
            Made(
                f"{name}.html",
                verdict.board().page.encode(),
                "",
                tuple(_verdict_shows(place, verdict)),
            )
        ]

    told = [verdict.sheet.name, verdict.sheet.invented]
    yield Product(name, [about, rests, stated, told], page, lambda: [f"{name}.html"])


def _verdict_shows(place: int, verdict: Verdict | ValuelessVerdict | VariantVerdict) -> list[Shown]:
    """Return the numbers that the board of a verdict shows."""
    claim = verdict.claim
    shows = [
        Shown(f"claim {place}", claim.si),
        Shown(f"chance {place}", 100 * verdict.chance),
    ]
    if isinstance(verdict, ValuelessVerdict | VariantVerdict):
        needs = verdict.needs.values()
        return shows + [
            Shown(f"claim {place} needs {one.wanted}", float(one.si), spread=True) for one in needs
        ]
    finding = verdict.finding
    shows.append(Shown(finding.wanted, float(finding.si), spread=True))
    return shows + [Shown(one.name, one.si, spread=True) for one in finding.facts.values()]


def _claim_inputs(claim: Claim) -> list[Any]:
    """Return a claim as data for a digest."""
    within = sorted((name, str(value)) for name, value in claim.within.items())
    about = [claim.quantity, claim.si, claim.label, claim.sense, claim.said_by, claim.variant]
    return [*about, claim.condition_text, within]


def _with_spread(made: Made, names: set[str]) -> Made:
    """Mark the numbers of which a figure shows the spread, too."""
    shows = tuple(
        Shown(one.name, one.si, spread=True) if one.name in names else one for one in made.shows
    )
    return Made(made.path, made.data, made.alt, shows)


def _page(questions: Questions) -> Product:
    sheet = questions.sheet

    def make() -> list[Made]:
        from chalkwatt.pages.document import BoardPart, part_text  # noqa: PLC0415  widgets are slow to import
        from chalkwatt.pages.sheet_page import sheet_parts  # noqa: PLC0415  widgets are slow to import

        parts = sheet_parts(sheet)
        shows = [Shown(fact.name, fact.si, spread=True) for fact in sheet.facts.values()]
        for part in parts:
            if isinstance(part, BoardPart):
                answer = part.start.answer()
                numbers = {**answer.known, **answer.best.values}
                shows += [Shown(name, float(si)) for name, si in numbers.items()]
        for place, verdict in questions.verdicts.items():
            shows += _verdict_shows(place, verdict)
        text = part_text(sheet.name, parts, linked=True)
        return [Made(_PAGE, text.encode(errors="replace"), "", tuple(dict.fromkeys(shows)))]

    facts = [[*fact_inputs([one])[0], one.note, one.seen] for one in sheet.facts.values()]
    claims = [_claim_inputs(one) for one in sheet.claims]
    inputs = [sheet.name, sheet.story, sheet.invented, facts, claims]
    return Product("page", inputs, make, lambda: [_PAGE])


def _worksheets(sheet: Sheet, seed: int) -> Iterator[Product]:
    """List a worksheet for each topic of which the sheet has something; its numbers lie around."""
    for topic in (load, pack):
        own = {
            name: sheet.facts[name].text_of(sheet.facts[name].si, 12)
            for name in topic.example
            if name in sheet.facts
        }
        if own:
            yield _worksheet(topic, own, seed)


def _worksheet(topic: Topic, own: dict[str, str], seed: int) -> Product:
    around = copy.copy(topic)
    around.example = topic.example | own
    stem = f"worksheets/{topic.name}-{seed}"

    paths = [f"{stem}.html", f"{stem}-key.html"]

    def make() -> list[Made]:
        sheet = worksheet(around, seed)
        pages = (sheet.student, sheet.key)
        return [Made(path, text.encode()) for path, text in zip(paths, pages, strict=True)]

    return Product(stem, [seed, list(around.example.items())], make, lambda: paths)


def _script(sheet: Sheet, template: str) -> Product:
    noted: set[str] = set()

    def make() -> list[Made]:
        noted.clear()
        made = script(template, _Noting(sheet, noted))
        shows = tuple(
            Shown(one.name, one.si, spread=True, line=one.line, text=one.text)
            for one in made.spoken
        )
        return [Made(_SCRIPT, made.text.encode(errors="replace"), "", shows)]

    claims = [_claim_inputs(one) for one in sheet.claims]
    # Which facts a question rests on is decided by their order of trust.
    order = [list(by_trust(sheet.facts)), sorted(sheet.facts)]
    inputs = [template, sheet.name, sheet.invented, claims, list(sheet.columns), order]
    return Product("script", inputs, make, lambda: [_SCRIPT], sheet.facts, noted, first=True)


class _Noting:
    """A sheet that notes which of its facts were used."""

    def __init__(self, sheet: Sheet, noted: set[str]) -> None:
        self.name, self.invented, self.claims = sheet.name, sheet.invented, sheet.claims
        self._sheet, self._noted = sheet, noted

    @property
    def facts(self) -> Mapping[str, Fact]:
        return _NotingFacts(self._sheet.facts, self._noted)

    def find(self, wanted: str, **conditions: Any) -> Finding:  # noqa: ANN401  and how it is drawn
        found = self._sheet.find(wanted, **conditions)
        self._noted.update(found.facts, (one.name for one in checks_of(found)))
        return found

    def follow(self) -> Following:
        self._noted.update(self._sheet.facts)
        return self._sheet.follow()

    def judge(self, claim: Claim) -> Verdict | ValuelessVerdict | VariantVerdict:
        verdict = self._sheet.judge(claim)
        finding = getattr(verdict, "finding", None)
        self._noted.update(self._sheet.facts if finding is None else finding.facts)
        if finding is not None:
            self._noted.update(one.name for one in checks_of(finding))
        return verdict


class _NotingFacts(dict[str, "Fact"]):
    def __init__(self, facts: Mapping[str, Fact], noted: set[str]) -> None:
        super().__init__(facts)
        self._noted = noted

    def __getitem__(self, name: str) -> Fact:
        self._noted.add(name)
        return super().__getitem__(name)
