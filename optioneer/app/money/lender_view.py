"""The account with the machine in it, and what a lender sees: worked out when asked for."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import literal
from optioneer.app.money.curve import way_names
from optioneer.app.parts import show
from optioneer.app.session import waiting
from optioneer.charts.bands import BANDS_READING, balance_band, ends_of
from optioneer.model.case import Case
from optioneer.reports.cash.account import account_parts
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Paragraph, Table
from optioneer.reports.papers.bank import bank_page
from optioneer.study.account.answers import AccountAnswer, PlanAccount

ACCOUNT, LENDER = "The account with the machine in it", "What a lender wants to see"
"""What can be looked at."""


def draw(case: Case, package: str | None, plan: str, figures: Figures) -> None:
    """Choose one; then the same as on paper.

    Parameters
    ----------
    package
        Id of the package; none: the advised one.
    plan
        Id of the way of paying that a lender is shown.
    figures
        How money is said.
    """
    st.subheader("With the machine earning")
    wanted = st.segmented_control("Look at", [ACCOUNT, LENDER], key="lender")
    if wanted is None:
        st.caption("Choose one; it is worked out from the full answer.")
        return
    reply = waiting.reply_to(
        ("lender", cached.content(case), package, plan),
        partial(cached.with_the_machine, case, package, plan),
        place="lender",
        about=case,
    )
    waiting.progress(reply, "Working out the account with the machine in it")
    if reply.answer is None:
        return
    found, told, view = reply.answer
    with waiting.dimmed("lender", dim=reply.alive):
        if wanted == LENDER:
            parts = bank_page(found.case, told, view, figures)
            show.page(tuple(part for part in parts if not isinstance(part, Heading)))
        else:
            _account(ways_called(told.answer, way_names(reply.about)), figures)


def _account(answer: AccountAnswer, figures: Figures) -> None:
    """What is said of every way of paying, its band, and the tables behind it."""
    parts = account_parts(answer, figures)
    show.page(tuple(part for part in parts if isinstance(part, Paragraph)))
    keep = figures.worth(answer.keep_cents)
    rows = {plan.id: band_rows(plan, figures) for plan in answer.plans}
    ends = ends_of([row for one in rows.values() for row in one], keep)
    for name, one in rows.items():
        drawn = balance_band(one, ends=ends, keep_above=keep, currency=figures.currency)
        st.markdown(f"**{literal(name)}**")
        tables = tuple(part for part in parts if isinstance(part, Table))
        mine = tuple(part for part in tables if part.title.endswith(f"'{name}'"))
        show.charts(
            {f"Balance of the account in the futures: {name}.": drawn},
            show.Behind(mine, f"band-{list(rows).index(name)}"),
            BANDS_READING,
        )
    named = {f"'{name}'" for name in rows}
    show.page(tuple(t for t in tables if not any(t.title.endswith(one) for one in named)))


def band_rows(plan: PlanAccount, figures: Figures) -> list[dict[str, Any]]:
    """The months of a way of paying for its picture, in money."""
    return [
        {
            "month": f"{month.month}-01",
            "low": figures.worth(month.balance.p10),
            "middle": figures.worth(month.balance.p50),
            "high": figures.worth(month.balance.p90),
        }
        for month in plan.months
    ]


def ways_called(answer: AccountAnswer, names: Mapping[str, str]) -> AccountAnswer:
    """The same with every way of paying called by its name."""
    return answer.model_copy(
        update={
            "plans": tuple(one.model_copy(update={"id": names[one.id]}) for one in answer.plans),
            "affordable": tuple(
                one.model_copy(update={"plan": names[one.plan]}) for one in answer.affordable
            ),
        }
    )
