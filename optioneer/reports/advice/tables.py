"""Answers as tables: verdicts, packages side by side, budgets."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.reports.advice.certainty import hangs_sentence
from optioneer.reports.advice.turning_points import turn_sentence
from optioneer.reports.advice.words import (
    Telling,
    regret_sentence,
    telling_of,
    verdict_sentence,
    why,
)
from optioneer.reports.page.money import Figures
from optioneer.reports.page.order import order_lines
from optioneer.reports.page.parts import Entries, PageEntry, Table
from optioneer.study.advice.answers import Advice, FrontierPoint, OptionAnswer, PackageAnswer
from optioneer.study.answer import Waiting

ORDER, KEEP, LEAVE = "Order now", "Keep as standard", "Leave off"
RETROFITS: dict[Waiting, str] = {
    "planned": "Leave for a retrofit: planned",
    "possible": "Leave for a retrofit: possible",
    "unlikely": "Leave for a retrofit: unlikely",
}
"""Heads of what waits, the likeliest first."""

GROUPS = {
    ORDER: "not ordering costs",
    KEEP: "doing without costs",
    **dict.fromkeys(RETROFITS.values(), "ordering now costs"),
    LEAVE: "ordering now costs",
}
"""Verdict groups in the order they are shown, with the head of their other choice."""

BUDGETS = 7
"""Most rows of the budget table."""


@dataclass(frozen=True)
class GroupMember:
    """One option of a group: what is answered, and how it is told."""

    answer: OptionAnswer
    entry: PageEntry


@dataclass(frozen=True)
class Group:
    """Options of one verdict, dearest to get wrong first.

    Parameters
    ----------
    title, head, foot
        Its verdict, what its other choice is called, what closes it.
    """

    title: str
    head: str
    foot: str
    members: tuple[GroupMember, ...]


def groups_by_verdict(case: Case, advice: Advice, figures: Figures) -> tuple[Group, ...]:
    """Every option once, by verdict, then by what choosing otherwise costs, dearest first."""
    telling = telling_of(case, advice, figures)
    answers = dearest_first(advice.options)
    groups = []
    for title, head in GROUPS.items():
        members = tuple(
            GroupMember(answer, _entry(telling, answer))
            for answer in answers
            if _group(case, answer) == title
        )
        foot = price_line(case, advice.advised, figures) if title == ORDER else ""
        if members or foot:
            groups.append(Group(title, head, foot, members))
    return tuple(groups)


def verdict_groups(case: Case, advice: Advice, figures: Figures) -> tuple[Entries, ...]:
    """The same as entries of a page."""
    return tuple(
        Entries(
            f"{group.title} ({len(group.members)})",
            ("price", group.head) if group.members else ("", ""),
            tuple(member.entry for member in group.members),
            group.foot,
        )
        for group in groups_by_verdict(case, advice, figures)
    )


def price_line(case: Case, package: PackageAnswer, figures: Figures) -> str:
    """How the price of `package` adds up, in one line."""
    machine, *others = order_lines(case, package.options)
    charges = sum(line.price for line in others if line.price > 0)
    credits_ = -sum(line.price for line in others if line.price < 0)
    terms = [f"machine {figures.quoted(machine.price)}"]
    if charges:
        terms.append(f"+ options {figures.quoted(charges)}")
    if credits_:
        terms.append(f"- bundle discounts and credits {figures.quoted(credits_)}")
    return f"Price: {' '.join(terms)} = {figures.quoted(package.price)}"


def packages_table(case: Case, advice: Advice, figures: Figures) -> Table:
    """The advised package and the candidates side by side, a column each."""
    packages = (advice.advised, *advice.packages)
    rows = tuple(
        (label, *(said(figures, package, advice.advised) for package in packages))
        for label, said in _PACKAGE_ROWS
    )
    heads = ("", *(package_name(case, package.id) for package in packages))
    return Table("Packages side by side", heads, rows, note=_PACKAGE_NOTE)


def frontier_table(case: Case, advice: Advice, figures: Figures) -> Table:
    """The best package for each of a few budgets, and what each adds or drops."""
    shown = few(advice.frontier)
    left = len(advice.frontier) - len(shown)
    best = advice.advised.npc
    rows = tuple(
        (
            figures.quoted(point.price),
            figures.amount(point.npc),
            figures.amount(point.npc - best),
            changes(case, before, point),
        )
        for before, point in zip((None, *shown), shown, strict=False)
    )
    note = (
        f"The best package for each of {len(shown)} budgets in equal steps from the cheapest to "
        f"the dearest that still pays; {left} packages between them are not shown."
        if left
        else "Every package that is the best at its price."
    )
    heads = ("price", "net cost", "over advice", "against the row above")
    return Table("What a budget buys", heads, rows, text_last=True, note=note)


def few(frontier: Sequence[FrontierPoint]) -> tuple[FrontierPoint, ...]:
    """At most `BUDGETS` points: the best one at each of equal steps of price, ends included."""
    if len(frontier) <= BUDGETS:
        return tuple(frontier)
    low, high = frontier[0].price, frontier[-1].price
    # the ends are taken as they are, so that rounding cannot lose them
    budgets = [low + (high - low) * step / (BUDGETS - 1) for step in range(BUDGETS - 1)] + [high]
    best = [max(p for p in range(len(frontier)) if frontier[p].price <= b) for b in budgets]
    return tuple(frontier[place] for place in dict.fromkeys(best))


def changes(case: Case, before: FrontierPoint | None, point: FrontierPoint) -> str:
    """What `point` adds to and drops from `before`; at first, the standard machine."""
    names = case.catalogue.by_id
    old = [o.option for o in case.catalogue.standards] if before is None else before.options
    added = [f"+ {names[option].name}" for option in point.options if option not in old]
    dropped = [f"- {names[option].name}" for option in old if option not in point.options]
    return ", ".join([*added, *dropped]) or "the standard machine"


def dearest_first(answers: Sequence[OptionAnswer]) -> tuple[OptionAnswer, ...]:
    """Answers by what the other choice would cost, dearest first."""
    return tuple(sorted(answers, key=_weight))


def _weight(answer: OptionAnswer) -> tuple[bool, float, str]:
    unknown = answer.otherwise is None
    return (unknown, -(answer.otherwise or 0.0), answer.option)


def _group(case: Case, answer: OptionAnswer) -> str:
    if answer.verdict == "order now":
        return KEEP if case.catalogue.by_id[answer.option].standard else ORDER
    return LEAVE if answer.waiting is None else RETROFITS[answer.waiting]


def _entry(telling: Telling, answer: OptionAnswer) -> PageEntry:
    option = telling.case.catalogue.by_id[answer.option]
    figures = (_price(option, telling.figures), otherwise_figure(answer, telling.figures))
    sentence = why(telling, answer)
    if answer.close_call:  # the column then holds words, so the sentence holds the figures
        sentence = verdict_sentence(telling, answer)
    more = (
        regret_sentence(telling, answer),
        turn_sentence(telling, answer),
        hangs_sentence(telling.case, answer, telling.figures),
    )
    return PageEntry(option.name, figures, " ".join(filter(None, (sentence, *more))))


def _price(option: Option, figures: Figures) -> str:
    return "standard" if option.standard else figures.quoted(option.price)


def otherwise_figure(answer: OptionAnswer, figures: Figures) -> str:
    """What the other choice would cost, with its error; words where that cannot be told."""
    if answer.otherwise is None or answer.otherwise_se is None:
        return "no other choice"
    if answer.close_call:
        return "too close to call"
    sign = "" if answer.otherwise < 0 else "+ "
    return f"{sign}{figures.spread(answer.otherwise, answer.otherwise_se)}"


def package_name(case: Case, package: str) -> str:
    """What people call a package: its name, its id, or what it is."""
    known = {"advised": "Advice", "base": "Standard", "all": "Everything", "asked": "Asked"}
    named = {candidate.id: candidate.name or candidate.id for candidate in case.packages}
    return named.get(package) or known.get(package, package)


_Said = Callable[[Figures, PackageAnswer, PackageAnswer], str]
_PACKAGE_ROWS: tuple[tuple[str, _Said], ...] = (
    ("Options fitted", lambda _, package, __: str(len(package.options))),
    ("Price", lambda figures, package, _: figures.quoted(package.price)),
    ("Net present cost", lambda figures, package, _: figures.amount(package.npc)),
    ("  standard error", lambda figures, package, _: f"± {figures.number(package.npc_se, 0)}"),
    ("  over advice", lambda figures, package, best: figures.amount(package.npc - best.npc)),
    ("Outcome", lambda figures, package, _: figures.amount(package.outcome.mean)),
    ("  one in ten below", lambda figures, package, _: figures.amount(package.outcome.p10)),
    ("  middle future", lambda figures, package, _: figures.amount(package.outcome.p50)),
    ("  one in ten above", lambda figures, package, _: figures.amount(package.outcome.p90)),
    (
        "  worst tenth, mean",
        lambda figures, package, _: figures.amount(package.outcome.worst_tenth),
    ),
    (
        "  worse than not buying",
        lambda figures, package, _: figures.share(package.outcome.worse_than_not_buying),
    ),
    ("Bound by hindsight", lambda figures, package, _: figures.amount(package.hindsight)),
)
_PACKAGE_NOTE = (
    "Net present cost: all that is paid and the margin of work the machine cannot do, less "
    "resale, discounted to the order date. Outcome: margin earned less all that is paid."
)
