"""Why: one short account a verdict, in the words of the shop."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Stream
from optioneer.reports.advice.dependents import (
    bundles_with,
    chance_of,
    excluded_by,
    options_eased,
    options_requiring,
    price_later,
    rival_fitted,
    streams_needing,
    streams_using,
    wanted_by_work,
)
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import Advice, OptionAnswer

MOST_NAMED = 2
"""Streams or options named in one sentence; the others are counted."""


@dataclass(frozen=True)
class Telling:
    """What the sentences are made from.

    Parameters
    ----------
    fitted
        Ids of all options of the advised package, standards included.
    break_evens
        Whether break-evens were searched for.
    unsought
        Options for whose break-evens there was no time.
    """

    case: Case
    fitted: Collection[str]
    figures: Figures
    break_evens: bool = False
    unsought: Collection[str] = ()


def telling_of(case: Case, advice: Advice, figures: Figures) -> Telling:
    """What the sentences on `advice` are made from."""
    fitted = advice.advised.options
    return Telling(case, fitted, figures, advice.break_evens, advice.unsought)


def verdict_sentence(telling: Telling, answer: OptionAnswer) -> str:
    """Why the verdict on one option is what it is, and what the other choice would cost."""
    return f"{why(telling, answer)} {otherwise_sentence(telling, answer)}"


def why(telling: Telling, answer: OptionAnswer) -> str:
    """Why the verdict on one option is what it is."""
    option = telling.case.catalogue.by_id[answer.option]
    if answer.verdict == "order now":
        clauses = _why_kept(telling, option) if option.standard else _why_ordered(telling, option)
        clauses = (*clauses, _no_money_later(telling, answer))
        clauses = ("you want it whatever it costs", *clauses) if option.must else clauses
    elif answer.verdict == "leave for retrofit":
        clauses = _waiting(telling, option, answer)
    else:
        clauses = _left_off(telling, option, answer)
    return " ".join(f"{clause[0].upper()}{clause[1:]}." for clause in clauses if clause)


def otherwise_sentence(telling: Telling, answer: OptionAnswer) -> str:
    """What the other choice would cost, and whether that can be told from nothing."""
    if answer.otherwise is None or answer.otherwise_se is None:
        return "There is no other choice."
    act = _other_act(telling.case.catalogue.by_id[answer.option], answer)
    direction = "less" if answer.otherwise < 0 else "more"
    cost = telling.figures.spread(abs(answer.otherwise), answer.otherwise_se)
    if answer.close_call:
        return f"Too close to call: {act} would cost {cost} {direction}."
    return f"{act[0].upper()}{act[1:]} would cost {cost} {direction}."


def regret_sentence(telling: Telling, answer: OptionAnswer) -> str:
    """In how many futures the other choice is cheaper; empty where in none."""
    if not answer.regret_share:
        return ""
    share = telling.figures.share(answer.regret_share)
    if not answer.mean_regret:
        return f"The other choice is cheaper in {share} of futures."
    each = telling.figures.about(answer.mean_regret / answer.regret_share)
    return f"The other choice is cheaper in {share} of futures, by about {each} on average there."


def need_clause(telling: Telling, option: Option) -> str:
    """Who needs `option`, as one clause that starts in lower case; empty when nobody does."""
    return "; ".join(
        clause
        for clause in (
            _streams(telling, "needed for", streams_needing(telling.case, option.option)),
            _streams(telling, "of use for", streams_using(telling.case, option.option)),
            _required_clause(telling, option),
            _eases(telling, option),
            _bundle(telling, option),
        )
        if clause
    )


def _why_kept(telling: Telling, option: Option) -> tuple[str, ...]:
    if option.delete_credit is None:
        return ("comes with the machine and cannot be left off", need_clause(telling, option))
    credit = telling.figures.quoted(option.delete_credit)
    return (
        f"comes with the machine; leaving it off would bring a credit of {credit}",
        need_clause(telling, option),
    )


def _why_ordered(telling: Telling, option: Option) -> tuple[str, ...]:
    why = need_clause(telling, option) or "no work on your list needs it, yet the sums favour it"
    if not option.retrofittable:
        return ("can only be built in at the factory", why)
    return (why, _now_or_later(telling, option))


def _now_or_later(telling: Telling, option: Option) -> str:
    now = telling.figures.quoted(option.price)
    later = telling.figures.about(price_later(telling.case, option, telling.fitted))
    return f"{now} now, about {later} if fitted later{_down(telling, option)}"


def _down(telling: Telling, option: Option) -> str:
    if option.downtime_days == 0:
        return ""
    days = telling.figures.number(option.downtime_days)
    unit = "day" if option.downtime_days == 1 else "days"
    return f", {days} {unit} of standstill included"


def _waiting(telling: Telling, option: Option, answer: OptionAnswer) -> tuple[str, ...]:
    why = need_clause(telling, option) or "no work on your list needs it by itself"
    told = (_place(telling, option), why, _fitted_later(telling, answer))
    return (*told, _no_money_then(telling, answer))


def _no_money_then(telling: Telling, answer: OptionAnswer) -> str:
    if not answer.unpaid:
        return ""
    share = telling.figures.share(answer.unpaid)
    return f"in {share} of futures there is no money for it when it is wanted"


def _no_money_later(telling: Telling, answer: OptionAnswer) -> str:
    if not answer.unpaid:
        return ""
    share, catalogue = telling.figures.share(answer.unpaid), telling.case.catalogue
    (slot,) = (s for s in catalogue.slots if answer.option in {o.option for o in s.options})
    later = sum(option.retrofittable for option in slot.options) > 1
    what = "it, or for what would be fitted in its place," if later else "it"
    return f"later there would be no money for {what} when it is wanted in {share} of futures"


def _fitted_later(telling: Telling, answer: OptionAnswer) -> str:
    if answer.chance_fitted_later == 0:
        return "in none of the futures does fitting it later pay"
    share = telling.figures.share(answer.chance_fitted_later)
    each = answer.present_cost_fitted_later / answer.chance_fitted_later
    return (
        f"fitted later in {share} of futures{_when(telling, answer)} at a present cost of about "
        f"{telling.figures.about(each)}"
    )


def _when(telling: Telling, answer: OptionAnswer) -> str:
    if answer.median_year_fitted is None:
        return ""
    return (
        f", typically {telling.figures.number(answer.median_year_fitted)} years after first chips,"
    )


def _left_off(telling: Telling, option: Option, answer: OptionAnswer) -> tuple[str, ...]:
    why_any = need_clause(telling, option)
    place = _place(telling, option)
    if not why_any:
        return (place, "no work on your list needs it")
    if option.retrofittable:
        return (place, why_any, _fitted_later(telling, answer))
    if place:
        return (place, why_any)
    return (why_any, "that does not pay for it, and it can never be added later")


def _place(telling: Telling, option: Option) -> str:
    rival = rival_fitted(telling.case, option, telling.fitted)
    if rival is not None:
        verb = "comes as standard" if rival.standard else "is ordered"
        return f"{rival.name} {verb} in its place"
    excluding = excluded_by(telling.case, option, telling.fitted)
    if excluding:
        return f"cannot be on the machine together with {_some_names(excluding)}"
    return ""


def _other_act(option: Option, answer: OptionAnswer) -> str:
    if answer.verdict != "order now":
        return "keeping it" if option.standard else "ordering it now"
    if option.standard or not option.retrofittable:
        return "doing without it"
    return "not ordering it now"


def _streams(telling: Telling, lead: str, streams: Sequence[Stream]) -> str:
    if not streams:
        return ""
    names = [
        f"{stream.name or stream.id} ({_likely(telling, stream)})"
        for stream in streams[:MOST_NAMED]
    ]
    return f"{lead} {_name_list(names, len(streams) - len(names))}"


def _likely(telling: Telling, stream: Stream) -> str:
    chance = chance_of(telling.case, stream)
    return "certain" if chance == 1 else f"{telling.figures.share(chance)} likely"


def _required_clause(telling: Telling, option: Option) -> str:
    everyone = telling.case.catalogue.by_id.keys()
    requiring = options_requiring(telling.case, option.option, everyone)
    fitted = [other for other in requiring if other.option in telling.fitted]
    later = [other for other in requiring if other not in fitted and other.retrofittable]
    if fitted and option.option in telling.fitted:
        return f"required by {_some_names(fitted)}"
    if later:
        return f"required before {_some_names(later)} can be fitted"
    wanted = [other for other in requiring if wanted_by_work(telling.case, other.option)]
    return f"required by {_some_names(wanted)}, which work on your list can use" if wanted else ""


def _eases(telling: Telling, option: Option) -> str:
    eased = [
        other
        for other in options_eased(telling.case, option.option)
        if other.option not in telling.fitted and other.retrofittable
    ]
    return f"makes it cheaper to fit {_some_names(eased)} later" if eased else ""


def _bundle(telling: Telling, option: Option) -> str:
    complete = [
        bundle
        for bundle in bundles_with(telling.case, option.option)
        if set(bundle.options) <= set(telling.fitted)
    ]
    if not complete:
        return ""
    saved = telling.figures.quoted(sum(bundle.discount for bundle in complete))
    return f"part of a bundle that saves {saved}"


def _some_names(options: Sequence[Option]) -> str:
    names = [option.name for option in options[:MOST_NAMED]]
    return _name_list(names, len(options) - len(names))


def _name_list(names: Sequence[str], more: int) -> str:
    if more > 0:
        return f"{', '.join(names)} and {more} more"
    return " and ".join(names) if len(names) <= MOST_NAMED else ", ".join(names)
