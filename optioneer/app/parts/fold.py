"""Parts of a page behind a click: what is open stays open, what is closed stays closed."""

from typing import Any

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.session import state

ROWS_STAY = """<script>
if (!window.openRows) {
  const open = window.openRows = new Set();
  const rows = (where) => where.querySelectorAll('details[data-row]');
  document.addEventListener('toggle', ({ target }) => {
    const row = target.dataset && target.dataset.row;
    if (row) target.open ? open.add(row) : open.delete(row);
  }, true);
  new MutationObserver((changes) => {
    for (const { addedNodes } of changes) for (const node of addedNodes)
      if (node.querySelectorAll) for (const each of rows(node.parentElement || node))
        if (open.has(each.dataset.row) && !each.open) each.open = true;
  }).observe(document.body, { childList: true, subtree: true });
}
</script>"""
"""Opens again the rows that were open when a picture is drawn anew; there is no name in it."""


def under(label: str, key: str, *, expanded: bool = False) -> Any:
    """A container behind a click; whether it is open is kept beside the draft.

    Parameters
    ----------
    label
        What is behind it.
    key
        Its name, the same whatever the label counts.
    expanded
        Whether it is open before anybody has touched it.
    """
    draft = state.session().draft
    if draft is None:
        return st.expander(literal(label), expanded=expanded, key=f"fold-{key}")
    name = f"fold-{key}-{draft.id}"
    state.recall(name, lambda held: isinstance(held, bool))
    return st.expander(
        literal(label),
        expanded=expanded,
        key=name,
        on_change=lambda: state.note(name, state.widget(name)),
    )


def rows_stay() -> None:
    """See that rows with a reason behind a click stay as they were left."""
    st.html(ROWS_STAY, unsafe_allow_javascript=True)
