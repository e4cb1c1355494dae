"""The first sentences: what to order, what it costs, how sure that is."""

from collections import Counter

from optioneer.model.case import Case
from optioneer.reports.money import Figures
from optioneer.reports.order import credited, ordered
from optioneer.study.answers import Advice, PackageAnswer

MOST_NAMED = 3
"""Close calls named in the summary; the others are counted."""


def summary(case: Case, advice: Advice, figures: Figures) -> tuple[str, ...]:
    """The advice in a few sentences, a paragraph each."""
    paragraphs = (
        (what_to_order(case, advice, figures),),
        (what_it_costs(case, advice, figures), what_else_costs(advice, figures)),
        (how_sure(advice, figures), likeliest(advice, figures), close_calls(case, advice)),
    )
    return tuple(" ".join(filter(None, sentences)) for sentences in paragraphs)


def what_to_order(case: Case, advice: Advice, figures: Figures) -> str:
    """How many options to order, their price, and what becomes of the others."""
    count = len(ordered(case, advice.advised.options))
    price = figures.quoted(advice.advised.price)
    struck = [option.name for option in credited(case, advice.advised.options)]
    without = f" without {' and '.join(struck)}" if struck else ""
    if count:
        order = f"Order {_counted(count, 'option')} with the machine{without}: {price} in all."
    else:
        order = f"Order the machine{without or ' as it stands'}: {price}."
    others = Counter(answer.verdict for answer in advice.options)
    rest = f"Leave {others['leave for retrofit']} for a retrofit and {others['leave off']} off."
    return " ".join([order, rest, _within(advice, figures)]).rstrip()


def what_it_costs(case: Case, advice: Advice, figures: Figures) -> str:
    """The net present cost with its error and range."""
    best = advice.advised
    years = figures.number(case.growth.horizon_years)
    return (
        f"Over {years} years this costs {figures.spread(best.npc, best.npc_se)} net: all that is "
        "paid and the margin of work the machine cannot do, less resale, in money of the order "
        f"date. In eight futures of ten it lies between {figures.amount(best.p10)} and "
        f"{figures.amount(best.p90)}; the worst tenth averages {figures.amount(best.cvar90)}."
    )


def what_else_costs(advice: Advice, figures: Figures) -> str:
    """The advised package against the bare machine and against everything."""
    names = {"base": "the standard machine", "all": "ordering everything"}
    against = [
        f"{names[package.id]} would cost {difference(package, advice.advised, figures)}"
        for package in advice.packages
        if package.id in names and package.options != advice.advised.options
    ]
    if not against:
        return ""
    text = "; ".join(against)
    return f"{text[0].upper()}{text[1:]}."


def difference(package: PackageAnswer, best: PackageAnswer, figures: Figures) -> str:
    """How much more or less `package` costs than `best` over the horizon."""
    gap = package.npc - best.npc
    return f"{figures.amount(abs(gap))} {'less' if gap < 0 else 'more'}"


def how_sure(advice: Advice, figures: Figures) -> str:
    """The bound by hindsight, the gap to it, and what knowing the future would be worth."""
    best = advice.advised
    gap = max(best.learned - best.hindsight, 0.0)
    worth = max(advice.information.perfect_information, 0.0)
    return (
        f"How sure: retrofits timed with the future known would bring this package to "
        f"{figures.amount(best.hindsight)}, so better timing could save at most "
        f"{figures.amount(gap)}. Knowing the future before ordering as well would save "
        f"{figures.amount(worth)}: no market survey is worth more."
    )


def likeliest(advice: Advice, figures: Figures) -> str:
    """What planning on the likeliest future alone would have cost."""
    dearer = advice.information.likeliest_future_plan_costs
    if dearer is None:
        return ""
    if round(dearer) <= 0:
        return "Planning on the likeliest future alone would lead to a package just as good."
    return (
        "Planning on the likeliest future alone, as if nothing else could happen, would order a "
        f"package that costs {figures.amount(dearer)} more over all futures."
    )


def close_calls(case: Case, advice: Advice) -> str:
    """Which verdicts the futures cannot settle."""
    names = [
        case.catalogue.by_id[answer.option].name for answer in advice.options if answer.close_call
    ]
    if not names:
        return ""
    verb = "is" if len(names) == 1 else "are"
    shown = "; ".join(names[:MOST_NAMED])
    more = f"; and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return (
        f"{_counted(len(names), 'choice')} {verb} too close to call: {shown}{more}. "
        "Decide on other grounds, or draw more futures."
    )


def _within(advice: Advice, figures: Figures) -> str:
    if advice.budget is None:
        return ""
    return f"This is the best that a budget of {figures.quoted(advice.budget)} buys."


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
