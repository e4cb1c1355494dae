"""For the buyer."""

import streamlit as st

from optioneer.app import state


def page() -> None:
    """The page."""
    st.header("For the buyer")
    st.caption(state.required_draft().name)
