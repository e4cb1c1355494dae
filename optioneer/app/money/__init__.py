"""The money, as the page for the bookkeeper draws it."""
