"""To first chips."""

import streamlit as st

from optioneer.app import state


def page() -> None:
    """The page."""
    st.header("To first chips")
    st.caption(state.required_draft().name)
