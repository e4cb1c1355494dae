"""What the account must hold whatever comes: asked once, the rest is the bookkeeper's page."""

import streamlit as st

from optioneer.app.engine.amounts import amount_typed
from optioneer.app.engine.words import PAGES, literal
from optioneer.app.parts import fold, missing_part, show
from optioneer.app.session import state
from optioneer.errors import OptioneerError
from optioneer.files.case.write import case_texts
from optioneer.model.case import Case
from optioneer.model.paying import Paying
from optioneer.model.sources import all_recorded
from optioneer.reports.page.money import Figures
from optioneer.study.worth.figures import remade

OPENING, KEEP = "account-opening", "account-keep"
KEYS = ["paying/account/opening", "paying/account/keep_above"]


def draw(case: Case, figures: Figures) -> None:
    """Two amounts, and the way to the page that shows the account."""
    st.subheader("What must the account hold when two slow years come?")
    account = None if case.paying is None else case.paying.account
    if account is not None:
        st.markdown(
            literal(
                f"On the day of the order {figures.quoted(account.opening)} are in it; it should "
                f"never end a day below {figures.quoted(account.keep_above)}."
            )
        )
    with fold.under("Say it" if account is None else "Say it otherwise", "say-account"):
        st.caption(
            "Wages, rent and rates of two slow years, less what still comes in: what must stay."
        )
        left, right = st.columns(2)
        left.text_input("In the account on the day of the order", key=OPENING, max_chars=40)
        right.text_input("What must stay in it whatever comes", key=KEEP, max_chars=40)
        st.button("Keep it in the case", key="account-said", on_click=_keep)
    st.page_link(
        missing_part.to("bookkeeper"),
        label=f"The account, on '{PAGES['bookkeeper']}'",
        icon=":material/account_balance:",
    )


def _keep() -> None:
    stated = state.read().stated
    if stated is None:
        return
    try:
        opening, keep = (amount_typed(str(state.widget(key) or "")) for key in (OPENING, KEEP))
        told = with_account(stated, opening, keep)
        said = all_recorded(
            told, KEYS, source="told", who="owner", day=state.clock().date(), note="Asked"
        )
        state.put_texts(case_texts(said, state.required_draft().texts), redraw=True)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))


def with_account(case: Case, opening: float, keep: float) -> Case:
    """`case` with what is in the account at the order, and what must stay [money]."""
    paying = case.paying or Paying()
    account = remade(paying.account, opening=opening, keep_above=keep)
    return case.model_copy(update={"paying": remade(paying, account=account)})
