"""The case."""

import streamlit as st

from optioneer.app import state


def page() -> None:
    """The page."""
    st.header("The case")
    st.caption(state.required_draft().name)
