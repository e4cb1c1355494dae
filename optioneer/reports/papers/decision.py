"""The two sheets that decide: what to order, what waits, what it costs, how sure, what then."""

from collections.abc import Iterator, Mapping, Sequence

from optioneer.model.case import Case
from optioneer.reports.advice.finding_out import learning_table
from optioneer.reports.advice.provenance import rests_parts
from optioneer.reports.advice.summary import (
    close_calls,
    how_sure,
    likeliest,
    what_else_costs,
    what_is_left,
    what_it_costs,
    what_to_order,
)
from optioneer.reports.advice.tables import dearest_first, otherwise_figure
from optioneer.reports.advice.turning_points import turn_sentence
from optioneer.reports.advice.words import Telling, need_clause, telling_of
from optioneer.reports.asking.acting import TITLE as WHEN
from optioneer.reports.asking.acting import how_good, reminders
from optioneer.reports.cash.paid import payments_table
from optioneer.reports.page.money import Figures
from optioneer.reports.page.order import order_lines
from optioneer.reports.page.parts import Heading, Page, Paragraph, Part, Picture, Section, Table
from optioneer.reports.ready.page import chips_days
from optioneer.study.advice.answers import OptionAnswer
from optioneer.study.cash.payments import payments
from optioneer.study.cash.price import deletions
from optioneer.study.papers.diary import goods
from optioneer.study.papers.dossier import Dossier, Money
from optioneer.study.ready.answers import Readiness

MOST_WAITING, MOST_SAID, MOST_TURNING, MOST_BOOKED, MOST_ASKED = 6, 3, 4, 4, 3
"""Rows shown of each kind; the appendix has all."""


def deciding(told: Dossier, figures: Figures, pictures: Mapping[str, Picture]) -> Page:
    """The part of the report that is read before signing."""
    case, advice = told.case, told.advice
    telling = telling_of(case, advice, figures)
    return (
        Heading(f"{case.machine.name}: what to order", _aside(told)),
        Paragraph(what_to_order(case, advice, figures), strong=True),
        _order_table(telling, told),
        *_left_off(told),
        *_waiting(telling, told),
        *_acting(told, figures),
        *_cost(told, figures),
        Section("How sure"),
        Paragraph(f"{what_it_costs(case, advice, figures)} {what_else_costs(advice, figures)}"),
        Paragraph(what_is_left(advice, figures)),
        *((pictures["spread"],) if "spread" in pictures else ()),
        Paragraph(" ".join(filter(None, _sure(told, figures)))),
        Section("What would change our mind"),
        *_turning(telling, told),
        *_short_learning(told, figures),
        Section("Road to first chips"),
        *_road(told),
        Paragraph(_rests_on(case, figures)),
        *rests_parts(case, figures),
        Paragraph(
            "Planning figures: get firm quotes, retrofit prices included, before you sign. "
            "Contract terms, tax, power, air, floor and rigging are for people licensed for "
            "them where you are; all cautions stand at the end."
        ),
    )


def _aside(told: Dossier) -> str:
    return f"Case {told.case.name}, order planned for {told.case.dates.order.isoformat()}"


def _of(told: Dossier, verdict: str) -> Iterator[OptionAnswer]:
    standard = {option.option for option in told.case.catalogue.standards}
    for answer in dearest_first(told.advice.options):
        if answer.verdict == verdict and not (verdict == "order now" and answer.option in standard):
            yield answer


def _order_table(telling: Telling, told: Dossier) -> Table:
    figures, by_id = telling.figures, told.case.catalogue.by_id
    rows = [
        (
            by_id[answer.option].name,
            figures.quoted(by_id[answer.option].price),
            otherwise_figure(answer, figures),
            because(telling, answer),
        )
        for answer in _of(told, "order now")
    ]
    machine, *others = order_lines(told.case, told.advice.advised.options)
    rows += [(one.what, figures.quoted(one.price), "", "") for one in others if one.price < 0]
    rows.append((machine.what, figures.quoted(machine.price), "", "as standard"))
    rows.append(("In all", figures.quoted(told.advice.advised.price), "", ""))
    heads = ("order now", "price", "not ordering costs", "because")
    return Table("", heads, tuple(rows), text_last=True)


def because(telling: Telling, answer: OptionAnswer) -> str:
    """Why an option is ordered now, in a few words."""
    option = telling.case.catalogue.by_id[answer.option]
    why = need_clause(telling, option) or "the sums favour it"
    words = why if option.retrofittable else f"factory only; {why}"
    return f"{words[0].upper()}{words[1:]}"


def _left_off(told: Dossier) -> Iterator[Paragraph]:
    off = [told.case.catalogue.by_id[answer.option] for answer in _of(told, "leave off")]
    credits_ = deletions(told.case, told.advice.advised.options)
    replaced = [option.name for option in off if option.standard and option not in credits_]
    others = [option.name for option in off if option.name not in replaced]
    if others:
        instead = f" Replaced by what is ordered: {'; '.join(replaced)}." if replaced else ""
        yield Paragraph(f"Leave off: {'; '.join(others)}.{instead}")


def _waiting(telling: Telling, told: Dossier) -> Iterator[Part]:
    """What waits: planned and possible retrofits one by one, unlikely ones by name."""
    by_id = telling.case.catalogue.by_id
    left = sorted(_of(told, "leave for retrofit"), key=lambda one: -one.chance_fitted_later)
    if not left:
        yield Paragraph("Nothing is left for a retrofit.")
    likely = [one for one in left if one.waiting != "unlikely"]
    if likely:
        yield _likely_table(telling, likely)
    unlikely = [by_id[one.option].name for one in left if one.waiting == "unlikely"]
    if unlikely:
        named = "; ".join(unlikely)
        yield Paragraph(f"Unlikely retrofits, in fewer than a tenth of futures: {named}.")


def _acting(told: Dossier, figures: Figures) -> Iterator[Part]:
    """When to order what waits, the likeliest first."""
    if told.acting is None:
        return
    first, *rest = [*reminders(told.case, told.acting, figures)][:MOST_SAID] or [""]
    if first:
        others = " The others are in appendix A." if rest else ""
        yield Paragraph(
            f"{WHEN} (`optioneer wait`). {' '.join((first, *rest))}{others} "
            f"{how_good(told.acting, figures)}"
        )


def _likely_table(telling: Telling, likely: Sequence[OptionAnswer]) -> Table:
    figures, by_id = telling.figures, telling.case.catalogue.by_id
    rows = tuple(
        (
            by_id[one.option].name,
            str(one.waiting),
            figures.share(one.chance_fitted_later),
            "-" if one.median_year_fitted is None else figures.number(one.median_year_fitted),
            _cost_when_fitted(one, figures),
            otherwise_figure(one, figures),
        )
        for one in likely[:MOST_WAITING]
    )
    rest = len(likely) - len(rows)
    more = f" {rest} less likely ones are in the appendix." if rest else ""
    note = (
        "Planned: fitted later in at least half of the futures; possible: in a tenth to a half. "
        f"Ask the dealer now for firm later prices of both.{more}"
    )
    heads = ("what waits", "it is", "fitted later in", "typically, years", "costs then")
    return Table("", (*heads, "now costs more by"), rows, note=note)


def _cost_when_fitted(one: OptionAnswer, figures: Figures) -> str:
    if not one.chance_fitted_later:
        return "-"
    return figures.about(one.present_cost_fitted_later / one.chance_fitted_later)


def _cost(told: Dossier, figures: Figures) -> Iterator[Part]:
    yield Section("What it costs and when")
    if told.money is None:
        yield Paragraph(
            f"The dealer is paid {figures.quoted(told.advice.advised.price)}; the case tells no "
            "way of paying (paying.toml), so that days of payment are not known."
        )
        return
    yield Paragraph(_plan_told(told, told.money, figures))
    yield payments_table("", payments(told.money.ledger), figures, together=("site",))


def _plan_told(told: Dossier, money: Money, figures: Figures) -> str:
    answer = money.ledger.answer
    used = told.case.paying is not None and told.case.paying.use == answer.id
    counted = "The advice counts on it." if used else "It is the cheapest; the advice pays at once."
    keep = told.case.paying.account.keep_above if told.case.paying else 0.0
    low = figures.cash(answer.lowest.cents)
    below = (
        f", {answer.days_below} days below the {figures.quoted(keep)} to keep"
        if answer.days_below
        else ""
    )
    return (
        f"Under plan '{answer.id}' ({answer.kind}). {counted} Paid in all "
        f"{figures.cash(answer.true_cost.total_paid_cents)}, "
        f"{figures.cash(answer.true_cost.interest_cents)} of it interest. The account is "
        f"lowest on {answer.lowest.date.isoformat()}: {low}{below}."
    )


def _sure(told: Dossier, figures: Figures) -> Sequence[str]:
    return (
        how_sure(told.advice, figures),
        likeliest(told.advice, figures),
        close_calls(told.case, told.advice),
    )


def _turning(telling: Telling, told: Dossier) -> Iterator[Part]:
    """The verdicts that the other choice would miss by least."""
    near = [a for a in reversed(dearest_first(told.advice.options)) if a.otherwise is not None]
    ordered = [one for one in near if not told.case.catalogue.by_id[one.option].standard]
    rows = tuple(
        (
            telling.case.catalogue.by_id[one.option].name,
            one.verdict,
            otherwise_figure(one, telling.figures),
            turn_sentence(telling, one) or _regret_clause(one, telling.figures),
        )
        for one in ordered[:MOST_TURNING]
    )
    heads = ("nearest calls", "advice", "the other choice costs", "what turns it")
    yield Table("", heads, rows, text_last=True)


def _regret_clause(one: OptionAnswer, figures: Figures) -> str:
    if not one.regret_share:
        return "the other choice is cheaper in none of the futures"
    return f"the other choice is cheaper in {figures.share(one.regret_share)} of futures"


def _short_learning(told: Dossier, figures: Figures) -> Iterator[Part]:
    for part in learning_table(told.case, told.advice, figures):
        if isinstance(part, Table):
            rows = part.rows[:MOST_ASKED]
            heads = ("worth asking before you sign", *part.heads[1:])
            yield Table("", heads, rows, text_last=True)
        else:
            yield part


def _road(told: Dossier) -> Iterator[Part]:
    if told.ready is None:
        day = told.case.dates.first_chips_date.isoformat()
        yield Paragraph(f"First chips are planned for {day}; the case tells no site (site.toml).")
        return
    yield Paragraph(_dates(told.ready))
    booked = [one for one in told.ready.bookings if one.book_by is not None]
    first = sorted(booked, key=lambda one: str(one.book_by))[:MOST_BOOKED]
    bought = [one for one in goods(told.ready) if one.order_by is not None]
    early = sorted(bought, key=lambda one: str(one.order_by))[:MOST_BOOKED]
    told_first = [
        *(f"{one.order_by} order {one.what}" for one in early),
        *(f"{one.book_by} book {one.trade} for {one.task}" for one in first),
    ]
    if told_first:
        yield Paragraph(f"At the latest: {'; '.join(sorted(told_first))}.")


def _dates(ready: Readiness) -> str:
    short = [need.name for need in ready.needs if need.status == "short"]
    lacking = f"The site is short of: {', '.join(short)}." if short else "Nothing known is short."
    arrives = f"{lacking} The machine arrives on {ready.delivery.isoformat()}; first chips "
    if ready.first_chips is None:
        return f"{arrives}have no date. Missing: {'; '.join(ready.undated)}."
    plan, _, most, _ = chips_days(ready)
    return f"{arrives}by the plan on {plan}, in four of five simulated runs by {most}."


def _rests_on(case: Case, figures: Figures) -> str:
    growth = case.growth
    return (
        f"All this rests on {len(growth.stream)} kinds of work that may come, over "
        f"{figures.number(growth.horizon_years)} years from first chips on "
        f"{case.dates.first_chips_date.isoformat()}; a discount rate of "
        f"{figures.number(100 * growth.discount_rate, 2)}% a year; retrofit prices rising by "
        f"{figures.number(100 * growth.retrofit_inflation, 2)}% a year. All figures are in the "
        "appendix."
    )
