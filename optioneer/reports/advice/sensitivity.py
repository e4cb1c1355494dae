"""The pages of what moves the advice: one figure at a time, and all together."""

from collections.abc import Iterable, Sequence

from optioneer.model.case import Case
from optioneer.reports.advice.whatif import OTHERWISE, SAID, figure_label, figure_value
from optioneer.reports.page.cautions import every_retrofit_paid
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page, Paragraph, Part, Table
from optioneer.study.answer import Verdict
from optioneer.study.whatif.answers import (
    AllTogether,
    Ends,
    Explained,
    OneAtATime,
    OptionSpread,
    Varied,
)
from optioneer.study.worth.figures import FIGURES, What

MOST_FIGURES = 15
"""Figures shown, those that move most; the JSON has all."""

MOST_NAMED = 3
"""Figures named in a sentence or a row."""

WORTH_NAMING = 0.05
"""Share of variance from which a figure is named."""

TURNS_SELDOM = 0.005
"""Share of the ranges from which on a verdict is told to turn."""

SITE_KEPT = "What the site adds is kept as it is in the case."


def one_at_a_time_page(case: Case, answer: OneAtATime, figures: Figures) -> Page:
    """What moves the net present cost most, then which verdicts turn at the end of which range."""
    drawn = f"{figures.number(case.growth.futures)} futures, seed {answer.seed}"
    return (
        Heading(f"{case.machine.name}: what moves the advice", drawn),
        Paragraph(_most(case, answer, figures), strong=True),
        _moves(case, answer, figures),
        *_turning(case, answer, figures),
        _reasons(answer.figures),
        *map(Paragraph, every_retrofit_paid(case)),
    )


def all_together_page(case: Case, answer: AllTogether, figures: Figures) -> Page:
    """What explains how the net present cost varies, then which verdicts turn most easily."""
    drawn = f"{figures.number(answer.futures)} futures, seed {answer.seed}"
    return (
        Heading(f"{case.machine.name}: what moves the advice", drawn),
        Paragraph(_ranges_sentence(case, answer, figures), strong=True),
        _shares(case, answer, figures),
        *_easily_turned(case, answer, figures),
        _reasons(answer.varied),
        Paragraph(_how_sure(answer, figures)),
        *map(Paragraph, every_retrofit_paid(case)),
    )


def _most(case: Case, answer: OneAtATime, figures: Figures) -> str:
    named = [each for each in answer.figures if each.moves > 0][:MOST_NAMED]
    if not named:
        return "No figure moves the net present cost of the advice."
    told = ", ".join(
        f"{_lower(figure_label(case, each.what, each.name))} ({figures.amount(each.moves)})"
        for each in named
    )
    turning = [
        option
        for option in answer.options
        if any(option.option in (*e.turned_low, *e.turned_high) for e in answer.figures)
    ]
    verdicts = {0: "No verdict turns.", 1: "1 verdict turns at the end of some range."}.get(
        len(turning), f"{len(turning)} verdicts turn at the end of some range."
    )
    return (
        f"The advised package costs {figures.amount(answer.npc)} net. What moves that most, from "
        f"one end of its range to the other: {told}. {verdicts}"
    )


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _range(each: Varied, figures: Figures) -> str:
    low, high = (figure_value(each.what, end, figures) for end in (each.low, each.high))
    return f"{low} to {high}"


def _moves(case: Case, answer: OneAtATime, figures: Figures) -> Table:
    rows = tuple(
        (
            figure_label(case, each.what, each.name),
            figures.spread(each.npc_low, each.npc_low_se),
            figures.spread(each.npc_high, each.npc_high_se),
            figures.amount(each.moves),
            _range(each, figures),
        )
        for each in answer.figures[:MOST_FIGURES]
    )
    heads = ("figure", "at low", "at high", "moves it by", "range")
    left = len(answer.figures) - len(rows)
    more = f" {left} more figures move it less; the JSON has all." if left else ""
    site = f" {SITE_KEPT}" if answer.site_kept else ""
    note = (
        "Net present cost of the advised package with one figure at each end of its range, all "
        f"others as in the case, on the same draws, {_futures(answer, figures)} "
        f"{ERROR}{more}{site}"
    )
    return Table("One figure at a time", heads, rows, text_last=True, note=note)


ERROR = "±: the standard error of what the figure adds."


def _futures(answer: OneAtATime, figures: Figures) -> str:
    first, all_of_them = (figures.number(count) for count in (answer.glanced, answer.futures))
    if answer.glanced == answer.futures:
        return f"{all_of_them} of them."
    return f"{first} of them; close calls are looked at with {all_of_them}."


def _reasons(varied: Sequence[Varied]) -> Table:
    """Why figures of each kind may be as far off as they are varied, a row a reason."""
    kinds = sorted({(FIGURES.index(each.what), each.why) for each in varied})
    rows = tuple((KIND_HEADS[FIGURES[kind]], why) for kind, why in kinds)
    note = "Common practice, no source; give ranges of your own where you know better."
    return Table("Why these ranges", ("figures", "because"), rows, text_last=True, note=note)


KIND_HEADS: dict[What, str] = {
    "nudge": "How strongly drivers come true",
    "chance": "Chances of work",
    "margin": "Yearly margins",
    "years": "Years until work comes",
    "lasts-years": "Years that work lasts",
    "fallback": "Shares kept without a way",
    "growth": "Yearly growth of margins",
    "swing": "Swings of margins",
    "hours": "Hours of work",
    "multiplier": "Retrofit multipliers",
    "price": "Prices with the order",
    "later-price": "Later prices",
    "downtime-days": "Days of standstill",
    "attended": "Hours attended",
    "beyond": "Cost of an hour beyond",
    "kept-years": "Years that the machine is kept",
    "horizon": "Years looked ahead",
    "discount-rate": "Discount rate",
}
"""What figures of each kind are called together."""


def _turning(case: Case, answer: OneAtATime, figures: Figures) -> tuple[Part, ...]:
    verdicts = {option.option: option.verdict for option in answer.options}
    rows = tuple(
        row for each in answer.figures for row in _turned_rows(case, each, verdicts, figures)
    )
    if not rows:
        return ()
    heads = ("option", "otherwise there", "where, and how it turns")
    note = (
        f"{OTHERWISE} Below nothing, the other choice is the better one there: the verdict turns "
        f"away from what is advised. {ERROR}"
    )
    return (Table("Verdicts that turn", heads, rows, text_last=True, note=note),)


def _turned_rows(
    case: Case, each: Ends, verdicts: dict[str, Verdict], figures: Figures
) -> Iterable[tuple[str, ...]]:
    costs = {ends.option: ends for ends in each.otherwise}
    label = figure_label(case, each.what, each.name)
    for turned, at in ((each.turned_low, "low"), (each.turned_high, "high")):
        for option in turned:
            ends = costs[option]
            low, high = (ends.at_low, ends.at_low_se), (ends.at_high, ends.at_high_se)
            cost, value = (low, each.low) if at == "low" else (high, each.high)
            where = f"{label} at {figure_value(each.what, value, figures)}"
            name = case.catalogue.by_id[option].name
            yield name, figures.spread(*cost), f"{where}: {_from_to(verdicts[option])}"


def _from_to(verdict: Verdict) -> str:
    return f"{SAID[verdict]}, then {'not to order' if verdict == 'order now' else 'order now'}"


def _ranges_sentence(case: Case, answer: AllTogether, figures: Figures) -> str:
    npc = answer.npc
    named = _figures_named(case, npc.figures, figures)
    turning = [each for each in answer.options if each.turned >= TURNS_SELDOM]
    verdicts = {0: "No verdict turns anywhere in the ranges.", 1: "1 verdict turns somewhere."}.get(
        len(turning), f"{len(turning)} verdicts turn somewhere in the ranges."
    )
    return (
        f"With every figure anywhere in its range the net present cost of the advised package is "
        f"{figures.amount(npc.mean)} on average and lies between {figures.amount(npc.p10)} and "
        f"{figures.amount(npc.p90)} eight times in ten. What explains it: {named}. {verdicts}"
    )


def _figures_named(
    case: Case, explained: Sequence[Explained], figures: Figures, most: int = MOST_NAMED
) -> str:
    named = [each for each in explained if each.total >= WORTH_NAMING][:most]
    told = ", ".join(
        f"{_lower(figure_label(case, each.what, each.name))} ({_share(each.total, figures)})"
        for each in named
    )
    return told or "no figure by itself"


def _share(share: float, figures: Figures) -> str:
    """A share in whole percents; an estimate can be a little below 0 or above 1."""
    return figures.share(min(max(share, 0.0), 1.0))


def _points(share: float, figures: Figures) -> str:
    """A share in percents with one decimal, for ends of intervals."""
    return f"{figures.number(100 * share, 1)}%"


def _shares(case: Case, answer: AllTogether, figures: Figures) -> Table:
    varied = {(each.what, each.name): each for each in answer.varied}
    shown = [each for each in answer.npc.figures if each.total > 0][:MOST_FIGURES]
    rows = tuple(
        (
            figure_label(case, each.what, each.name),
            _share(each.first, figures),
            _share(each.total, figures),
            f"{_points(each.total_low, figures)} to {_points(each.total_high, figures)}",
            _range(varied[each.what, each.name], figures),
        )
        for each in shown
    )
    heads = ("figure", "explains alone", "with others", "95 % interval", "range")
    left = len(answer.varied) - len(rows)
    more = f" {left} more figures explain less; the JSON has all." if left else ""
    note = (
        "Shares of the variance of the net present cost that a figure explains alone and together "
        f"with others (first-order and total Sobol indices).{more}"
    )
    return Table("All figures together", heads, rows, text_last=True, note=note)


def _easily_turned(case: Case, answer: AllTogether, figures: Figures) -> tuple[Part, ...]:
    shown = [each for each in answer.options if each.turned >= TURNS_SELDOM]
    if not shown:
        return ()
    rows = tuple(_turned_row(case, each, figures) for each in shown)
    heads = ("option", "otherwise", "from", "to", "turns in", "how, and mostly why")
    note = (
        f"{OTHERWISE} From and to: eight times in ten it lies between them; below nothing the "
        "other choice is the better one."
    )
    return (Table("Verdicts that turn most easily", heads, rows, text_last=True, note=note),)


def _turned_row(case: Case, each: OptionSpread, figures: Figures) -> tuple[str, ...]:
    return (
        case.catalogue.by_id[each.option].name,
        *(figures.amount(cost) for cost in (each.otherwise, each.p10, each.p90)),
        figures.share(each.turned),
        f"{_from_to(each.verdict)}: {_figures_named(case, each.figures, figures, 1)}",
    )


def _how_sure(answer: AllTogether, figures: Figures) -> str:
    varied = (
        f"How this was found: {len(answer.varied)} figures, independent of each other and each "
        "alike anywhere in its range; "
        f"{figures.number(answer.points)} points twice; a quadratic fitted to "
        f"{figures.number(answer.valuations)} valuations of clusters on "
        f"{figures.number(answer.futures)} futures stands in for the costs."
    )
    pairs = (
        ""
        if answer.pairs
        else " Time or size left out pairs of figures, so what they do together is told in part."
    )
    site = f" {SITE_KEPT}" if answer.site_kept else ""
    return f"{varied}{pairs}{_error(answer, figures)}{site}"


def _error(answer: AllTogether, figures: Figures) -> str:
    if answer.npc.error is None:
        return " It was not checked against the case valued in full."
    worst = max((each.error or 0.0 for each in answer.options), default=0.0)
    return (
        f" Checked at {answer.checked} other points in full, on "
        f"{figures.number(answer.checked_futures)} futures: the net present cost is off by about "
        f"{figures.amount(answer.npc.error)}, what choosing otherwise costs by at most "
        f"{figures.amount(worst)} for any option."
    )
