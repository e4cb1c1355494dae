"""What would turn a verdict, in words."""

from optioneer.model.catalogue import Option
from optioneer.model.checks.reliance import streams_relying_on
from optioneer.reports.advice.words import Telling
from optioneer.study.advice.answers import OptionAnswer


def turn_sentence(telling: Telling, answer: OptionAnswer) -> str:
    """Where the verdict turns; empty where that was not asked for or there is no other choice."""
    if not telling.break_evens or answer.otherwise is None:
        return ""
    if answer.option in telling.unsought:
        return "Within the time limit what would turn this was not looked for."
    option = telling.case.catalogue.by_id[answer.option]
    clauses = [c for c in (_chance(telling, answer), _multiplier(telling, option, answer)) if c]
    if not clauses:
        return "No work relies on it and it cannot be fitted later: nothing of that kind turns it."
    return " ".join(f"{clause}." for clause in clauses)


def _chance(telling: Telling, answer: OptionAnswer) -> str:
    streams = streams_relying_on(telling.case, answer.option)
    if not streams:
        return ""
    likeliest = max(streams, key=lambda stream: stream.likely_chance)
    name = likeliest.name or likeliest.id
    others = len(streams) - 1
    along = f", {others} more in proportion," if others else ""
    if answer.break_even_chance is None:
        return f"No chance of {name}{along} would turn this"
    turn, now = (
        telling.figures.share(answer.break_even_chance),
        telling.figures.share(likeliest.likely_chance),
    )
    return f"This turns if {name}{along} is {turn} likely instead of {now}"


def _multiplier(telling: Telling, option: Option, answer: OptionAnswer) -> str:
    if option.multiplier is None or not option.retrofittable:
        return ""
    now = telling.figures.number(option.multiplier.likely, 2)
    if answer.break_even_multiplier is None:
        return f"No multiplier from a fifth to twenty times {now} would turn it"
    turn = telling.figures.number(answer.break_even_multiplier, 2)
    return f"It turns at a retrofit multiplier of {turn} instead of {now}"
