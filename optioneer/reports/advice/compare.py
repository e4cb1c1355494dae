"""The page of packages and quotes side by side."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.reports.advice.summary import BEST_FOUND
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Page, Paragraph, Part, Table
from optioneer.study.compare.answers import Compared, Comparison, Quote, RateTurn, Served

KNOWN = {"advised": "Advice", "base": "Standard"}
"""Packages that no case names."""

SAME_FUTURES = (
    "Every figure counts the same futures. Over A: what the package costs beyond the first, ± its "
    "standard error. Best in: futures in which none here is cheaper. Regret: what it costs beyond "
    "the one that is cheapest in the future that comes, averaged over all futures."
)

WORK_NOTE = (
    "Share of the work's margin that the package earns as ordered. +: retrofits can raise it. "
    "none: the machine has no way of doing it, only the fallback is earned."
)


STANDING = (
    "later: missing, but can be retrofitted. never: missing, and only the factory can build it in. "
    "other: something else is in its place."
)


def compare_page(cases: Sequence[Case], answer: Comparison, figures: Figures) -> Page:
    """Which package is best and how sure that is; figures, work and options side by side."""
    known = {case.name: case for case in cases}
    several = len(cases) > 1
    title = "Quotes side by side" if several else f"{cases[0].machine.name}: side by side"
    drawn = f"{figures.number(answer.futures)} futures, seed {answer.seed}"
    return (
        Heading(title, drawn),
        Paragraph(" ".join(_outcome(known, answer, figures)), strong=True),
        Paragraph(" ".join(_basis(known, answer, figures))),
        _costs(known, answer, figures),
        _work(known, answer, figures),
        *(part for quote in answer.quotes for part in _options(known, answer, quote)),
        *_to_know(known, answer),
        *((Paragraph(BEST_FOUND),) if answer.searched else ()),
        Bullets("Before you sign", cautions(known[answer.growth])),
    )


def package_title(cases: Mapping[str, Case], package: Compared) -> str:
    """Letter, name and, where there are several, case of a package."""
    names = [_name(cases[package.case], each) for each in (package.id, *package.also)]
    of_case = f", {package.case}" if len(cases) > 1 else ""
    return f"{package.label}  {' = '.join(names)}{of_case}"


def _name(case: Case, package: str) -> str:
    named = {candidate.id: candidate.name or candidate.id for candidate in case.packages}
    return named.get(package) or KNOWN.get(package, package)


def _outcome(cases: Mapping[str, Case], answer: Comparison, figures: Figures) -> Iterator[str]:
    best, *others = answer.packages
    machine = f" on the {cases[best.case].machine.name}" if len(cases) > 1 else ""
    name = _name(cases[best.case], best.id)
    yield (
        f"Best is A, {name}{machine}: {figures.quoted(best.price)} now, "
        f"{figures.spread(best.npc, best.npc_se)} net over "
        f"{figures.number(cases[answer.growth].growth.horizon_years)} years."
    )
    if not others:
        return
    yield (
        f"It is the cheapest of these {len(answer.packages)} in {figures.share(best.chance_best)} "
        "of futures. Where another turns out cheaper there is regret: "
        f"{figures.amount(best.mean_regret)}, averaged over all futures."
    )
    yield _runner_up(cases, answer, figures)


def _runner_up(cases: Mapping[str, Case], answer: Comparison, figures: Figures) -> str:
    second = answer.packages[1]
    name = f"B, {_name(cases[second.case], second.id)}"
    over = figures.spread(second.over_best, second.over_best_se)
    if second.close_call:
        return (
            f"{name}, costs {over} more: too close to call. Decide on other grounds, or draw more "
            "futures."
        )
    return f"{name}, costs {over} more."


def _basis(cases: Mapping[str, Case], answer: Comparison, figures: Figures) -> Iterator[str]:
    growth = cases[answer.growth].growth
    years = figures.number(growth.horizon_years)
    yield (
        f"The work is that of '{answer.growth}': its {len(answer.streams)} streams with their "
        f"chances, years and margins, its horizon of {years} years, its draws."
    )
    if len(cases) > 1:
        yield (
            "Each machine does it in its own ways, matched by the ids of the streams, not by the "
            "names of options."
        )
    rates = [
        f"1 {quote.currency} = {figures.number(quote.rate, 6)} {answer.currency}"
        for quote in answer.quotes
        if quote.currency != answer.currency
    ]
    if rates:
        told = ", ".join(dict.fromkeys(rates))
        yield f"All money is in {answer.currency}, at {told} as of {answer.rate_date}."
        yield "Rates move: what is not yet paid can cost more or less."
        yield from (_rate_turn(turn, answer, figures) for turn in answer.rate_turns)


def _rate_turn(turn: RateTurn, answer: Comparison, figures: Figures) -> str:
    quotes = "; ".join(q.case for q in answer.quotes if q.currency == turn.currency)
    if turn.turns_at is None:
        return (
            f"Between half and twice the rate of {turn.currency} the best quote stays the same "
            f"({quotes} against the others)."
        )
    rate = f"1 {turn.currency} = {figures.number(turn.turns_at, 4)} {answer.currency}"
    return f"At {rate} the best of {quotes} and the best of the others cost the same."


def _costs(cases: Mapping[str, Case], answer: Comparison, figures: Figures) -> Table:
    foreign = any(quote.currency != answer.currency for quote in answer.quotes)
    heads = (
        "package",
        *(("as quoted",) if foreign else ()),
        "price",
        "net cost",
        "over A",
        "outcome, one in ten below",
        "outcome, middle future",
        "outcome, one in ten above",
        "outcome, worst tenth",
        "best in",
        "another is cheaper in",
        "regret",
    )
    rows = tuple(_cost_row(cases, answer, package, figures) for package in answer.packages)
    return Table("What they cost", heads, rows, note=SAME_FUTURES)


def _cost_row(
    cases: Mapping[str, Case], answer: Comparison, package: Compared, figures: Figures
) -> tuple[str, ...]:
    currencies = {quote.case: quote.currency for quote in answer.quotes}
    foreign = any(currency != answer.currency for currency in currencies.values())
    own = Figures(currencies[package.case], figures.locale)
    amount = figures.amount
    first = package is answer.packages[0]
    return (
        package_title(cases, package),
        *((own.quoted(package.quoted_price),) if foreign else ()),
        figures.quoted(package.price),
        figures.spread(package.npc, package.npc_se),
        "-" if first else figures.spread(package.over_best, package.over_best_se),
        *(amount(cost) for cost in _risk(package)),
        figures.share(package.chance_best),
        figures.share(package.regret_share),
        amount(package.mean_regret),
    )


def _risk(package: Compared) -> tuple[float, ...]:
    """What the outcome may come to [money]."""
    told = package.outcome
    return (told.p10, told.p50, told.p90, told.worst_tenth)


def _work(cases: Mapping[str, Case], answer: Comparison, figures: Figures) -> Table:
    names = {s.id: s.name or s.id for s in cases[answer.growth].growth.stream}
    rows = tuple(
        (
            names[stream],
            *(_share_earned(package.serves[place], figures) for package in answer.packages),
        )
        for place, stream in enumerate(answer.streams)
    )
    heads = ("work", *(package.label for package in answer.packages))
    return Table("What work they do", heads, rows, note=WORK_NOTE)


def _share_earned(served: Served, figures: Figures) -> str:
    share = figures.share(round(served.earned, 9))
    if not served.way:
        return f"{share} none"
    return f"{share} +" if served.reachable > served.earned + 1e-9 else share


def _options(cases: Mapping[str, Case], answer: Comparison, quote: Quote) -> Iterator[Part]:
    case = cases[quote.case]
    packages = [package for package in answer.packages if package.case == quote.case]
    held = {package.label: set(package.options) for package in packages}
    everywhere = set.intersection(*held.values())
    shared = [o for o in case.catalogue.options if o.option in everywhere and not o.standard]
    differing = [
        option
        for option in case.catalogue.options
        if option.option not in everywhere and any(option.option in each for each in held.values())
    ]
    title = "What is in and what is missing" + (f": {quote.case}" if len(cases) > 1 else "")
    lost = [
        o for o in case.catalogue.options if all(_lost(case, o, each) for each in held.values())
    ]
    common = " ".join(
        f"{said}: {', '.join(option.name for option in options)}."
        for said, options in (("In all", shared), ("In none and never to be added", lost))
        if options
    )
    if not differing:
        yield Paragraph(f"{title}. {common or 'Nothing beyond standard.'}")
        return
    rows = tuple(
        (
            f"{option.name}{' (standard)' if option.standard else ''}",
            *(_standing(case, option, options) for options in held.values()),
        )
        for option in differing
    )
    yield Table(title, ("option", *held), rows, note=f"{common} {STANDING}".strip())


def _standing(case: Case, option: Option, held: Collection[str]) -> str:
    """Whether an option is in a package, may come later, or is missed for good."""
    if option.option in held:
        return "in"
    rivals = next(slot for slot in case.catalogue.slots if option in slot.options).options
    if any(rival.option in held for rival in rivals):
        return "other"
    return "later" if option.retrofittable else "never"


def _lost(case: Case, option: Option, held: Collection[str]) -> bool:
    return _standing(case, option, held) == "never"


def _to_know(cases: Mapping[str, Case], answer: Comparison) -> Iterator[Part]:
    sentences = tuple(
        sentence for quote in answer.quotes for sentence in _notes(cases, answer, quote)
    )
    if sentences:
        yield Bullets("To know", sentences)


def _notes(cases: Mapping[str, Case], answer: Comparison, quote: Quote) -> Iterator[str]:
    names = {s.id: s.name or s.id for s in cases[answer.growth].growth.stream}
    own = {s.id: s.name or s.id for s in cases[quote.case].growth.stream}
    if quote.without_way:
        work = "; ".join(names[stream] for stream in quote.without_way)
        yield f"{quote.case} has no way of doing: {work}. Only the fallback is earned there."
    if quote.left_out:
        work = "; ".join(own[stream] for stream in quote.left_out)
        yield (
            f"{quote.case} tells of work that '{answer.growth}' does not know: {work}. It is in "
            "no figure; add it to that growth if it counts."
        )
    if quote.days_later:
        yield (
            f"{quote.case} starts to earn {quote.days_later} days later than the earliest here. "
            "All are told on one calendar with one end: work comes when it comes, and what a "
            "machine that is not there yet does not earn is in its figures."
        )
    if not quote.site and any(other.site for other in answer.quotes):
        yield f"{quote.case} has no site.toml: what the site would need for it is in no figure."
    if quote.order != answer.quotes[0].order:
        yield (
            f"{quote.case} is ordered on {quote.order}, {answer.quotes[0].case} on "
            f"{answer.quotes[0].order}: all money is told at the earliest order."
        )


def count_rows(cases: Sequence[Case], answer: Comparison) -> list[dict[str, str | float]]:
    """Rows of a chart: how many futures of each package fall between two outcomes."""
    known = {case.name: case for case in cases}
    return [
        {"package": package_title(known, package), "low": low, "high": high, "futures": count}
        for package in answer.packages
        for low, high, count in zip(answer.edges, answer.edges[1:], package.counts, strict=False)
    ]


def spread_table(cases: Sequence[Case], answer: Comparison, figures: Figures) -> Table:
    """The table behind the chart: in how many futures each package comes out between two sums."""
    known = {case.name: case for case in cases}
    ends = zip(answer.edges, answer.edges[1:], strict=False)
    rows = tuple(
        (f"{figures.amount(low)} to {figures.amount(high)}", *map(figures.number, counts))
        for (low, high), *counts in zip(ends, *(one.counts for one in answer.packages), strict=True)
        if any(counts)
    )
    heads = ("outcome", *(package_title(known, one) for one in answer.packages))
    return Table("Futures by outcome", heads, rows)


def spread_marks(cases: Sequence[Case], answer: Comparison) -> list[dict[str, str | float]]:
    """Marks of the same chart: percentiles, mean and worst tenth of each package."""
    known = {case.name: case for case in cases}
    return [
        {
            "package": package_title(known, package),
            "low": package.outcome.p10,
            "middle": package.outcome.p50,
            "high": package.outcome.p90,
            "mean": package.outcome.mean,
            "worst": package.outcome.worst_tenth,
        }
        for package in answer.packages
    ]
