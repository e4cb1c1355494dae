"""For the bookkeeper."""

import streamlit as st

from optioneer.app import state


def page() -> None:
    """The page."""
    st.header("For the bookkeeper")
    st.caption(state.required_draft().name)
