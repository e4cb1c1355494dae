"""The first sentences: what to order, what it costs, how sure that is."""

from collections import Counter
from typing import get_args

from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import counted
from optioneer.study.advice.answers import Advice, PackageAnswer, Pays, SearchAnswer
from optioneer.study.answer import Waiting
from optioneer.study.asking.answers import one_choices
from optioneer.study.cash.price import deletions, options_ordered

MOST_NAMED = 3
"""Close calls named in the summary; the others are counted."""

A_LOT = 1e9
"""Numbers from here on are told by their power of ten."""

BEST_FOUND = (
    "Too many packages hang together to value them all: what is told is the best that a search "
    "found. Ask `optioneer advise` how far from the best of all that can be."
)
"""What answers say that tell no gap."""


def summary(case: Case, advice: Advice, figures: Figures) -> tuple[str, ...]:
    """The advice in a few sentences, a paragraph each."""
    paragraphs = (
        (what_to_order(case, advice, figures),),
        (what_it_costs(case, advice, figures), what_else_costs(advice, figures)),
        (what_is_left(advice, figures),),
        (how_sure(advice, figures), likeliest(advice, figures), close_calls(case, advice)),
        (search_sentence(advice, figures),),
        (how_many(advice, figures),),
    )
    texts = (" ".join(filter(None, sentences)) for sentences in paragraphs)
    return tuple(filter(None, texts))


def what_to_order(case: Case, advice: Advice, figures: Figures) -> str:
    """How many options to order, their price, and what becomes of the others."""
    count = len(options_ordered(case, advice.advised.options))
    price = figures.quoted(advice.advised.price)
    struck = [option.name for option in deletions(case, advice.advised.options)]
    without = f" without {' and '.join(struck)}" if struck else ""
    if count:
        order = f"Order {counted(count, 'option')} with the machine{without}: {price} in all."
    else:
        order = f"Order the machine{without or ' as it stands'}: {price}."
    others = Counter(answer.verdict for answer in advice.options)
    waiting = f"{others['leave for retrofit']} for a retrofit{_how_likely(advice)}"
    rest = f"Leave {waiting} and {others['leave off']} off."
    return " ".join([order, rest, _within(advice, figures)]).rstrip()


def _how_likely(advice: Advice) -> str:
    """How many of those that wait are planned, possible and unlikely, in brackets."""
    heads = Counter(answer.waiting for answer in advice.options if answer.waiting is not None)
    told = ", ".join(f"{heads[head]} {head}" for head in get_args(Waiting) if heads[head])
    return f" ({told})" if told else ""


def what_it_costs(case: Case, advice: Advice, figures: Figures) -> str:
    """The net present cost with its error and range."""
    best = advice.advised
    years = figures.number(case.growth.horizon_years)
    return (
        f"Over {years} years this costs {figures.spread(best.npc, best.npc_se)} net: all that is "
        "paid and the margin of work the machine cannot do, less resale, in money of the order "
        "date."
    )


def what_is_left(advice: Advice, figures: Figures) -> str:
    """The outcome with its range, and whether buying pays."""
    best = advice.advised.outcome
    return (
        "What the shop has in the end, margin earned less all that is paid, averages "
        f"{figures.amount(best.mean)}. In eight futures of ten it lies between "
        f"{figures.amount(best.p10)} and {figures.amount(best.p90)}; the worst tenth averages "
        f"{figures.amount(best.worst_tenth)}. {does_it_pay(advice, figures)}".rstrip()
    )


def does_it_pay(advice: Advice, figures: Figures) -> str:
    """Buying against not buying."""
    pays = advice.pays
    if pays is None:
        return ""
    gain = figures.spread(abs(pays.gain), pays.gain_se)
    than = "more" if pays.gain >= 0 else "less"
    share = figures.share(pays.worse_share)
    return (
        f"Not buying would leave {figures.amount(advice.advised.outcome.not_buying)}: buying "
        f"leaves {gain} {than} on average, and less in {share} of futures. "
        f"{what_would_just_pay(pays, figures)}"
    )


def what_would_just_pay(pays: Pays, figures: Figures) -> str:
    """At which margins, and with how much ordinary work, buying and not buying come to the same."""
    if pays.at_margins is None:
        return "No margin would make it pay."
    ways = [f"at {figures.share(pays.at_margins)} of all these margins"]
    work = pays.ordinary
    if work is not None and work.at_hours_a_week:
        now = figures.number(work.hours_a_week, 1)
        ways.append(
            f"with {figures.number(work.at_hours_a_week, 1)} hours a week of ordinary work "
            f"instead of {now}"
        )
    if work is not None and work.at_margin_an_hour:
        least, now = figures.quoted(work.at_margin_an_hour), figures.quoted(work.margin_an_hour)
        ways.append(f"at {least} an hour of it instead of {now}")
    anyway = work is not None and work.at_hours_a_week == 0.0
    alone = " It pays without any ordinary work, too." if anyway else ""
    return f"It would just pay {', or '.join(ways)}.{alone}"


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
    """What nobody could better, and what knowing the future would be worth."""
    worth = max(advice.information.perfect_information, 0.0)
    return (
        f"How sure: {bound_words(advice, figures)}{foreseen(advice, figures)} Knowing the future "
        f"before ordering as well would save {figures.amount(worth)}: no market survey is worth "
        f"more."
        f"{unseen(advice, figures)}"
    )


def unseen(advice: Advice, figures: Figures) -> str:
    """Work that comes, or stays away, in too few of the futures drawn."""
    if not advice.rare:
        return ""
    named = [
        f"{each.name} ({figures.share(each.chance)} likely)" for each in advice.rare[:MOST_NAMED]
    ]
    more = f" and {len(advice.rare) - MOST_NAMED} more" if len(advice.rare) > MOST_NAMED else ""
    most = max(each.futures for each in advice.rare)
    return (
        f" But {figures.number(advice.futures)} futures are too few to show "
        f"{', '.join(named)}{more} both coming and staying away: averages, errors and bounds here "
        f"may miss that altogether. Draw at least {figures.number(most)}."
    )


def foreseen(advice: Advice, figures: Figures) -> str:
    """The bound by hindsight, and the gap to it unless a nearer bound is told."""
    best = advice.advised
    known = (
        "retrofits timed with the future known would bring this package to "
        f"{figures.amount(best.hindsight)}"
    )
    if advice.proof is not None:
        return f"{known[0].upper()}{known[1:]}."
    gap = max(best.learned - best.hindsight, 0.0)
    saved = f"{known}, so better timing could save at most {figures.amount(gap)}"
    if advice.search is not None and advice.search.gap is not None:
        return f"{saved}."
    return (
        f"{saved}; how much of it can be had without knowing is not proven, and no call allows "
        "for it."
    )


def bound_words(advice: Advice, figures: Figures) -> str:
    """What nobody can get below who cannot see ahead, and how near the advice comes."""
    proof = advice.proof
    if proof is None:
        return ""
    share = proof.gap_share
    part = "" if share is None else f" ({figures.fine_share(share)} of what the choice decides)"
    return (
        "nobody who cannot see ahead could average below "
        f"{figures.spread(proof.bound, proof.bound_se)}, whatever "
        "they order and however they time retrofits; the advice is within "
        f"{figures.spread(proof.gap, proof.gap_se)} of that{part}. "
    )


def search_sentence(advice: Advice, figures: Figures) -> str:
    """How a search among too many packages went, and how far from the best it can have ended."""
    search = advice.search
    if search is None:
        return ""
    early = {"time": " before the time was up", "interrupt": " before Ctrl-C", None: ""}
    went = (
        f"{search.slots} slots hang together and make about {_many(search.packages, figures)} "
        f"packages, too many to value them all: {figures.number(search.looked_at)} were compared "
        f"and {figures.number(search.kept)} of them valued in full{early[search.stopped]}. What "
        "choosing otherwise costs, and the best for each budget, is told of these."
    )
    return f"{went} {gap_of_search(search, figures)}"


def _many(packages: float, figures: Figures) -> str:
    """A number of packages, however large."""
    if packages < A_LOT:
        return figures.number(int(packages))
    digits, _, power = f"{packages:.0e}".partition("e+")
    return f"{digits} x 10^{int(power)}"


def gap_of_search(search: SearchAnswer, figures: Figures) -> str:
    """What any other package could save at most."""
    if search.gap is None:
        return "Nothing was proven of how far from the best the advice is: give it more time."
    error = "" if search.gap_se is None else f" ± {figures.amount(search.gap_se)}"
    sure = (
        ""
        if search.gap_at_most is None
        else f" (with 95 % confidence at most {figures.amount(search.gap_at_most)})"
    )
    return (
        "No other package, even with its retrofits timed by somebody who knows the future, could "
        f"save more than {figures.amount(search.gap)}{error} on average{sure}: bounded by a "
        f"mixed-integer programme on {search.batches} independent sets of {search.batch_futures} "
        "futures."
    )


def how_many(advice: Advice, figures: Figures) -> str:
    """How the number of futures was chosen, and how precise the answer is."""
    how = advice.precision
    if how is None:
        return ""
    precise = f"the average is known to ± {figures.fine_share(how.reached)} with 95 % confidence"
    left = counted(how.close_calls, "verdict") if how.close_calls else "no verdict"
    drawn = (
        f"{figures.number(advice.futures)} futures were drawn: {precise}, with {left} too close to "
        "call."
    )
    aim = (
        "no verdict is a close call" if how.asked is None else f"± {figures.fine_share(how.asked)}"
    )
    return drawn if how.enough else f"{drawn} That is the most that can be drawn, short of {aim}."


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
        " with ".join(case.catalogue.by_id[option].name for option in choice)
        for choice in one_choices(answer for answer in advice.options if answer.close_call)
    ]
    if not names:
        return ""
    verb = "is" if len(names) == 1 else "are"
    shown = "; ".join(names[:MOST_NAMED])
    more = f"; and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
    return (
        f"{counted(len(names), 'choice')} {verb} too close to call{_grounds(advice)}: "
        f"{shown}{more}. Decide on other grounds, or draw more futures."
    )


def _grounds(advice: Advice) -> str:
    """Why calls are close where it is not only for the futures drawn."""
    known = advice.proof is not None or (advice.search is not None and advice.search.gap)
    return " by these futures or by the gap that is left" if known else ""


def _within(advice: Advice, figures: Figures) -> str:
    if advice.budget is None:
        return ""
    return f"This is the best that a budget of {figures.quoted(advice.budget)} buys."
