"""For the bookkeeper: what each way of paying costs, what leaves when, and what would cure it."""

from dataclasses import replace
from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.money import controls, curve, ledger_view, lender_view
from optioneer.app.parts import fold, missing_part, package_choice, show
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.cash.ledger import balance_sentence, cures_table
from optioneer.reports.cash.page import (
    cheapest_and_safest,
    closing_parts,
    contract_table,
    costs_table,
    delays_table,
    expected_table,
)
from optioneer.reports.cash.terms import dealer_table, disguise, uncovered_days
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Paragraph
from optioneer.study.cash.cash import CashStudy, PlanLedger
from optioneer.study.cash.conditions import case_under
from optioneer.study.cash.dates import ON_TIME
from optioneer.study.cash.delays import USUAL

LACKING = "This case says nothing yet about how the machine is paid for."
STEPS = (
    "Account: what is in it on the morning of the order, and what it should never end a day below.",
    "The rest of the business: what comes and goes every month whatever is ordered.",
    (
        "Ways of paying: at least one, with a short name, a kind (staged, loan or lease) and its "
        "terms; the stages of a staged one add up to the whole price."
    ),
    "Business days, sales tax and income tax, where they matter to you.",
)
"""What to fill in before there is any money to look at."""


def page() -> None:
    """Choose package and way of paying; then the curve with its controls, the costs, the ledger."""
    read = state.read()
    if read.case is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case = read.case
    show.show(Heading(f"{case.machine.name}: the money"))
    if case.paying is None or not case.paying.plan:
        missing_part.draw(LACKING, STEPS, "Paying")
        return
    left, right = st.columns([1, 2], gap="large")
    with left:
        chosen = package_choice.draw(case)
        ordered, final = package_choice.package(case, chosen)
    if ordered is None:
        return
    figures = state.figures(case.machine.currency)
    planned = cached.cash(case, ordered)
    with left:
        plan = _way(case, planned)
        needed = max(ledger.answer.opening_needed_cents for ledger in planned.ledgers)
        tried = controls.draw(case, plan.answer.id, figures.worth(needed))
        package_choice.what_is_in(case, ordered)
    with right:
        found = _under(case, ordered, plan, tried)
        if found is not None:
            _draw_answer(*found, planned=plan, tried=tried, figures=figures)
    if found is not None:
        _below(case, ordered, *found, tried=tried, figures=figures)
        lender_view.draw(case, chosen or None, plan.answer.id, figures)
        if chosen == package_choice.ADVISED and final:
            _retrofits(case, ordered, figures)
        _closing(case, ordered, found[1], found[2], figures)


def _below(
    case: Case,
    ordered: Package,
    under: Case,
    study: CashStudy,
    ledger: PlanLedger,
    *,
    tried: controls.Tried,
    figures: Figures,
) -> None:
    """What stands below the curve: costs, cures, delays, the ledger."""
    names = curve.way_names(case)
    told = curve.called_by_name(study, names)
    show.show(costs_table(told, figures))
    show.page(tuple(disguise([one.answer for one in told.ledgers], figures)))
    _cure(under, ordered, ledger, study, tried, figures)
    _usual(under, ordered, figures)
    ledger_view.draw(study, ledger, names, figures)


def _closing(
    case: Case, ordered: Package, study: CashStudy, ledger: PlanLedger, figures: Figures
) -> None:
    """What the contract is made of, and what to mind before signing."""
    told = curve.called_by_name(study, curve.way_names(case))
    with fold.under("What the contract is made of, and when the dealer is paid", "contract"):
        show.show(contract_table(told, figures))
        show.page(tuple(dealer_table(case, ledger.deal.price, figures)))
    show.page(tuple(closing_parts(case, told, cached.unpriced_needs(case, ordered))))


def _way(case: Case, study: CashStudy) -> PlanLedger:
    """The way of paying that is looked at: the one chosen last, or the one the advice counts on."""
    ledgers = {ledger.answer.id: ledger for ledger in study.ledgers}
    names = curve.way_names(case)
    key = f"plan-{state.required_draft().id}"
    wished = (state.last_note(key), case.paying.use if case.paying else None, study.answer.cheapest)
    start = next(plan for plan in wished if plan in ledgers)
    state.recall(key, ledgers.__contains__)
    chosen = st.selectbox(
        "Way of paying",
        list(ledgers),
        index=list(ledgers).index(start),
        format_func=names.__getitem__,
        key=key,
        on_change=lambda: state.note(key, state.widget(key)),
    )
    return ledgers[chosen]


def _under(
    case: Case, ordered: Package, plan: PlanLedger, tried: controls.Tried
) -> tuple[Case, CashStudy, PlanLedger] | None:
    """The case under the conditions that are tried, and its money; none where they cannot be."""
    try:
        under = case_under(case, plan.answer.id, tried.conditions)
        study = cached.cash(under, ordered, planned=case, delay=tried.delay)
    except OptioneerError as error:
        show.mistake(error)
        return None
    held = [ledger for ledger in study.ledgers if ledger.answer.id == plan.answer.id]
    if not held:
        st.error("\n\n".join(literal(show.sentence_of(fault)) for fault in study.unfit))
        return None
    return under, study, held[0]


def _draw_answer(
    case: Case,
    study: CashStudy,
    ledger: PlanLedger,
    *,
    planned: PlanLedger,
    tried: controls.Tried,
    figures: Figures,
) -> None:
    """Which way is cheapest, which safest, how low this one goes; the curve; what is missing."""
    told = curve.called_by_name(study, curve.way_names(case))
    named = next(one for one in told.ledgers if one.deal is ledger.deal)
    for place, sentence in enumerate(cheapest_and_safest(told, figures)):
        show.show(Paragraph(sentence, strong=not place))
    _metrics(ledger, planned, tried, figures)
    show.show(Paragraph(balance_sentence(case, named.answer, figures)))
    curve.draw(case, study, ledger, figures)
    show.page(tuple(uncovered_days([named.answer], figures)))


def _metrics(
    ledger: PlanLedger, planned: PlanLedger, tried: controls.Tried, figures: Figures
) -> None:
    """Four figures, each with what the controls have changed of it."""
    now, before = ledger.answer, planned.answer
    after = now.true_cost.present_cost_after_tax
    label = "Present cost" if after is None else "Present cost after tax"
    show.glance(
        {
            "Lowest balance": figures.amount(figures.worth(now.lowest.cents)),
            "Days below what to keep": figures.number(now.days_below),
            "Opening that would do": figures.amount(figures.worth(now.opening_needed_cents)),
            label: figures.amount(now.true_cost.present_cost if after is None else after),
        }
    )
    if not tried.nothing:
        lowest = figures.cash(before.lowest.cents)
        days, told = figures.number(before.days_below), before.true_cost
        cost = told.present_cost if after is None else told.present_cost_after_tax or 0.0
        st.caption(
            literal(
                f"As planned: lowest balance {lowest}, {days} days below, opening that would do "
                f"{figures.cash(before.opening_needed_cents)}, {label.lower()} "
                f"{figures.amount(cost)}."
            )
        )


def _cure(
    case: Case,
    ordered: Package,
    ledger: PlanLedger,
    study: CashStudy,
    tried: controls.Tried,
    figures: Figures,
) -> None:
    """What could be done where the account falls too low, with the machine as planned."""
    if tried.delay != ON_TIME:
        return
    paid = cached.works(case, ordered)
    found = cached.cures(case, ordered, ledger.answer.id, study, paid)
    if found:
        names = curve.way_names(case)
        show.show(cures_table([replace(c, plan=names.get(c.plan, c.plan)) for c in found], figures))


def _usual(case: Case, ordered: Package, figures: Figures) -> None:
    """What becomes of every way of paying under the usual delays, when asked for."""
    if st.toggle(
        "Every way of paying under the usual delays", key="usual", persist_state="session"
    ):
        names, found = curve.way_names(case), cached.plans_delayed(case, ordered, USUAL)
        show.show(delays_table([replace(one, plan=names[one.plan]) for one in found], figures))


def _retrofits(case: Case, ordered: Package, figures: Figures) -> None:
    """What may come on top after the advised package; never part of the contract."""
    reply = waiting.reply_to(
        ("bands", cached.content(case), ordered.options, ordered.without),
        partial(cached.bands, case, ordered),
    )
    if reply.answer:
        show.show(expected_table(case, reply.answer, figures))
    waiting.progress(reply, "Looking at what retrofits may cost")
