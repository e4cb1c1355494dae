"""The account with the machine in it: chances, months and the credit line that would do."""

from collections.abc import Iterator

from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page, Paragraph, Part, Table
from optioneer.study.account.answers import AccountAnswer, CentsBand, MachineMonth, PlanAccount

EXPECTED = (
    "Expected, not contracted: the machine's work, upkeep, retrofits as the advice makes them, "
    "standstill and tax, in the futures of the advice, beside what is contracted and the rest of "
    "the business."
)
SHOWN = 36
"""Most months that are shown."""


def account_page(answer: AccountAnswer, title: str, figures: Figures) -> Page:
    """How the account fares with the machine in it."""
    return (
        Heading(f"{title}: the account with the machine in it", f"{answer.futures:,} futures"),
        *account_parts(answer, figures),
    )


def account_parts(answer: AccountAnswer, figures: Figures) -> Page:
    """The same without its title, as a part of other pages."""
    return (
        *(Paragraph(_plan_sentence(plan, answer, figures)) for plan in answer.plans),
        *_affordable(answer, figures),
        _plans(answer, figures),
        _machine(answer, figures),
        *(_months(plan, figures) for plan in answer.plans),
        Paragraph(f"{EXPECTED} {_line(answer, figures)} {_ramp(answer, figures)}"),
    )


def _plan_sentence(plan: PlanAccount, answer: AccountAnswer, figures: Figures) -> str:
    keep = figures.cash(answer.keep_cents)
    if plan.worst_month is None:
        return f"Under '{plan.id}' the account falls below the {keep} to keep in no future."
    return (
        f"Under '{plan.id}' the account falls below the {keep} to keep in "
        f"{figures.share(plan.below)} of futures, most often in {plan.worst_month} "
        f"({figures.share(plan.worst_below)}). A credit line of {figures.cash(plan.line_cents)} "
        f"would do in nine futures of ten, {figures.cash(plan.line_all_cents)} in all of them."
    )


def _affordable(answer: AccountAnswer, figures: Figures) -> Iterator[Part]:
    """What it does to fit retrofits only where the account can pay them, by plan."""
    for one in answer.affordable:
        yield Paragraph(
            f"Under '{one.plan}' a retrofit that the advice waits for could not be paid when it is "
            f"wanted in {figures.share(one.refused)} of futures; that costs "
            f"{figures.amount(one.costs)} on average."
        )
        rows = tuple(
            (
                each.option,
                figures.share(each.refused),
                figures.amount(each.otherwise),
                "order now" if each.otherwise < 0 else "wait",
            )
            for each in one.options
        )
        if rows:
            heads = ("option", "never paid for", "ordering it now costs", "so")
            yield Table(f"What '{one.plan}' may not pay for later", heads, rows, text_last=True)


def _plans(answer: AccountAnswer, figures: Figures) -> Table:
    rows = tuple(
        (
            plan.id,
            *_band(plan.lowest, figures),
            figures.share(plan.below),
            plan.worst_month or "-",
            figures.cash(plan.line_cents),
        )
        for plan in answer.plans
    )
    heads = ("", "P10", "P50", "P90", "below", "most in", "credit line")
    return Table("Lowest balance under each plan", heads, rows)


def _machine(answer: AccountAnswer, figures: Figures) -> Table:
    rows = tuple(_machine_row(month, figures) for month in answer.machine[:SHOWN])
    heads = ("month", "P10", "P50", "P90", "net P10", "net P50", "net P90")
    note = "Net of upkeep, retrofits and tax." + _more(len(answer.machine))
    return Table("What the machine earns", heads, rows, note=note)


def _machine_row(month: MachineMonth, figures: Figures) -> tuple[str, ...]:
    return (month.month, *_band(month.earned, figures), *_band(month.net, figures))


def _months(plan: PlanAccount, figures: Figures) -> Table:
    rows = tuple(
        (month.month, *_band(month.balance, figures), figures.share(month.below))
        for month in plan.months[:SHOWN]
    )
    heads = ("month", "P10", "P50", "P90", "below what to keep")
    title = f"Balance at the end of the month under '{plan.id}'"
    return Table(title, heads, rows, note=_more(len(plan.months)).strip())


def _more(months: int) -> str:
    return f" {months - SHOWN} more months: --json." if months > SHOWN else ""


def _band(band: CentsBand, figures: Figures) -> Iterator[str]:
    yield from (figures.cash(one) for one in (band.p10, band.p50, band.p90))


def _line(answer: AccountAnswer, figures: Figures) -> str:
    if answer.line_rate is None:
        return "The case tells no credit line: what is below zero bears no interest here."
    rate = figures.fine_share(answer.line_rate)
    return f"What is below zero bears the {rate} a year of the credit line in every future."


def _ramp(answer: AccountAnswer, figures: Figures) -> str:
    if not answer.ramp:
        return "The machine does all of its work from the first month on."
    shares = ", ".join(figures.share(one) for one in answer.ramp)
    return f"In its first months it does {shares} of its work (common practice)."
