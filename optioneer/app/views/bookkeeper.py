"""For the bookkeeper: what each way of paying costs, what leaves when, and what would cure it."""

from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.parts import delay_view, ledger_view, missing_part, package_choice, show
from optioneer.app.session import state, waiting
from optioneer.charts.cash import CASH_READING, plan_chart
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.cash.ledger import balance_sentence, cures_table, months_table
from optioneer.reports.cash.page import (
    cheapest_and_safest,
    closing_parts,
    contract_table,
    costs_table,
    expected_table,
)
from optioneer.reports.cash.rows import balance_rows, moved_rows
from optioneer.reports.cash.terms import dealer_table, uncovered
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Paragraph
from optioneer.study.cash.cash import CashStudy, PlanLedger

LACKING = "This case says nothing yet about how the machine is paid for (paying.toml)."
STEPS = (
    "Account: what is in it on the morning of the order, and what it should never end a day below.",
    "The rest of the business: what comes and goes every month whatever is ordered.",
    (
        "Ways of paying: at least one, with an id, a kind (staged, loan or lease) and its terms; "
        "the stages of a staged one add up to the whole price."
    ),
    "Business days, sales tax and income tax, where they matter to you.",
)
"""What to fill in before there is any money to look at."""


def page() -> None:
    """Choose package and way of paying; then the answer, the months, the costs, the ledger."""
    read = state.read()
    if read.case is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case = read.case
    show.show(Heading(f"{case.machine.name}: the money"))
    if case.paying is None or not case.paying.plan:
        missing_part.draw(LACKING, STEPS, "Paying")
        return
    left, right = st.columns(2)
    with left:
        chosen = package_choice.draw(case)
    ordered, final = package_choice.package(case, chosen)
    if ordered is None:
        return
    study = cached.cash(case, ordered)
    with right:
        ledger = _plan(case, study)
    package_choice.what_is_in(case, ordered)
    figures = state.figures(case.machine.currency)
    _answer(case, study, ledger, figures)
    _months(case, study, ledger, figures)
    show.show(costs_table(study, figures))
    _cure(case, ordered, ledger, figures)
    delay_view.draw(case, ordered, figures)
    ledger_view.draw(study, ledger, figures)
    if chosen == package_choice.ADVISED and final:
        _retrofits(case, ordered, figures)
    with st.expander("What the contract is made of, and when the dealer is paid"):
        show.show(contract_table(study, figures))
        show.page(tuple(dealer_table(case, ledger.deal.price, figures)))
    show.page(tuple(closing_parts(case, study, cached.unpriced(case, ordered))))


def _plan(case: Case, study: CashStudy) -> PlanLedger:
    """The way of paying that is looked at: the one chosen last, or the one the advice counts on."""
    ledgers = {ledger.answer.id: ledger for ledger in study.ledgers}
    names = {plan.id: plan.name or plan.id for plan in (case.paying.plan if case.paying else ())}
    key = f"plan-{state.required_draft().id}"
    wished = (state.noted(key), case.paying.use if case.paying else None, study.answer.cheapest)
    start = next(plan for plan in wished if plan in ledgers)
    state.recall(key, ledgers.__contains__)
    chosen = st.selectbox(
        "Way of paying",
        list(ledgers),
        index=list(ledgers).index(start),
        format_func=lambda plan: f"{names[plan]} ({plan})",
        key=key,
        on_change=lambda: state.note(key, state.widget(key)),
    )
    return ledgers[chosen]


def _answer(case: Case, study: CashStudy, ledger: PlanLedger, figures: Figures) -> None:
    """The main answer: which is cheapest, which safest, and how low this one goes."""
    first, *others = cheapest_and_safest(study, figures)
    show.show(Paragraph(first, strong=True))
    for sentence in others:
        show.show(Paragraph(sentence))
    plan, cost = ledger.answer, ledger.answer.true_cost
    low, below, needed, present = st.columns(4)
    low.metric("Lowest balance", figures.amount(figures.worth(plan.lowest.cents)))
    below.metric("Days below what to keep", figures.number(plan.days_below))
    needed.metric("Opening that would do", figures.amount(figures.worth(plan.opening_needed_cents)))
    after = cost.present_cost_after_tax
    present.metric(
        "Present cost" if after is None else "Present cost after tax",
        figures.amount(cost.present_cost if after is None else after),
    )
    show.show(Paragraph(balance_sentence(case, plan, figures)))
    show.page(tuple(uncovered([plan], figures)))


def _months(case: Case, study: CashStudy, ledger: PlanLedger, figures: Figures) -> None:
    """Paid out month by month with the balance; every plan where asked for."""
    st.subheader("Month by month")
    every = st.toggle("Draw every way of paying", key="every-plan", persist_state="session")
    shown = study.ledgers if every else (ledger,)
    moved, left = moved_rows(shown, figures.currency), balance_rows(shown, figures.currency)
    for one in shown:
        plan = one.answer.id
        drawn = plan_chart(
            [row for row in moved if row["plan"] == plan],
            [row for row in left if row["plan"] == plan],
            currency=study.answer.currency,
            keep_above=case.paying.account.keep_above if case.paying else 0.0,
        )
        show.chart(drawn, f"Paid out by month and kind, and balance of the account, by '{plan}'.")
    st.caption(CASH_READING)
    with st.expander("The table behind it"):
        show.page(tuple(months_table(one.answer, moved, left, figures) for one in shown))


def _cure(case: Case, ordered: Package, ledger: PlanLedger, figures: Figures) -> None:
    """What could be done where the account falls too low."""
    found = cached.cures(case, ordered, ledger.answer.id)
    if found:
        show.show(cures_table(found, figures))


def _retrofits(case: Case, ordered: Package, figures: Figures) -> None:
    """What may come on top after the advised package; never part of the contract."""
    reply = waiting.asked(
        ("bands", cached.content(case), ordered.options, ordered.without),
        partial(cached.bands, case, ordered),
    )
    if reply.answer:
        show.show(expected_table(case, reply.answer, figures))
    waiting.progress(reply, "Looking at what retrofits may cost")
